//! One face for the three shapes in which the TOML library hands out a value.

use std::ops::Range;

use toml_edit::{Item, Table, TableLike, Value};

/// A value of the text: under a key, in a list, or a table of a list of tables.
#[derive(Clone, Copy)]
pub(super) enum Node<'a> {
    Item(&'a Item),
    Value(&'a Value),
    Table(&'a Table),
}

impl<'a> Node<'a> {
    fn value(self) -> Option<&'a Value> {
        match self {
            Node::Item(item) => item.as_value(),
            Node::Value(value) => Some(value),
            Node::Table(_) => None,
        }
    }

    pub(super) fn span(self) -> Option<Range<usize>> {
        match self {
            Node::Item(item) => item.span(),
            Node::Value(value) => value.span(),
            Node::Table(table) => table.span(),
        }
    }

    pub(super) fn text(self) -> Option<&'a str> {
        self.value()?.as_str()
    }

    pub(super) fn whole(self) -> Option<i64> {
        self.value()?.as_integer()
    }

    pub(super) fn number(self) -> Option<f64> {
        let value = self.value()?;
        value
            .as_float()
            .or_else(|| value.as_integer().map(|whole| whole as f64))
    }

    pub(super) fn flag(self) -> Option<bool> {
        self.value()?.as_bool()
    }

    pub(super) fn table(self) -> Option<&'a dyn TableLike> {
        match self {
            Node::Item(item) => item.as_table_like(),
            Node::Value(value) => value.as_inline_table().map(|table| table as &dyn TableLike),
            Node::Table(table) => Some(table),
        }
    }

    pub(super) fn list(self) -> Option<Vec<Node<'a>>> {
        if let Node::Item(Item::ArrayOfTables(tables)) = self {
            return Some(tables.iter().map(Node::Table).collect());
        }
        Some(self.value()?.as_array()?.iter().map(Node::Value).collect())
    }

    pub(super) fn shown(self) -> String {
        match self {
            Node::Item(item) => item.to_string(),
            Node::Value(value) => value.to_string(),
            Node::Table(_) => "a table".into(),
        }
    }
}
