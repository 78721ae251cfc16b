//! Licence expressions, and whether we may build on what bears one.
//!
//! Expressions are those of SPDX, annex D of its specification 2.3,
//! <https://spdx.github.io/spdx-spec/v2.3/SPDX-license-expressions/>; identifiers are those of its
//! list of licences. Cargo's older form with a slash means OR.

/// Licences under which a part may go into the program: each allows any use and asks at most that
/// its text goes along.
pub const ALLOWED: [&str; 11] = [
    "0BSD",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "Bitstream-Vera",
    "MIT",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
    "blessing",
];

/// An expression in the one form that SPDX knows.
pub fn spdx(expression: &str) -> String {
    expression.replace('/', " OR ")
}

/// Whether the licences of [`ALLOWED`] are enough for an expression.
///
/// # Errors
/// When the expression cannot be read.
pub fn is_allowed(expression: &str) -> Result<bool, String> {
    let spaced = spdx(expression).replace('(', " ( ").replace(')', " ) ");
    let words: Vec<&str> = spaced.split_whitespace().collect();
    let mut reader = Reader {
        words: &words,
        at: 0,
    };
    match (reader.either(), reader.at == words.len()) {
        (Some(allowed), true) => Ok(allowed),
        _ => Err(format!("\"{expression}\" is no licence expression")),
    }
}

struct Reader<'a> {
    words: &'a [&'a str],
    at: usize,
}

impl<'a> Reader<'a> {
    fn next_if(&mut self, word: &str) -> bool {
        let is = self.words.get(self.at) == Some(&word);
        self.at += usize::from(is);
        is
    }

    /// OR binds less than AND.
    fn either(&mut self) -> Option<bool> {
        let mut allowed = self.both()?;
        while self.next_if("OR") {
            // Both sides are read, whatever the first says.
            allowed |= self.both()?;
        }
        Some(allowed)
    }

    fn both(&mut self) -> Option<bool> {
        let mut allowed = self.one()?;
        while self.next_if("AND") {
            allowed &= self.one()?;
        }
        Some(allowed)
    }

    fn one(&mut self) -> Option<bool> {
        if self.next_if("(") {
            let inner = self.either()?;
            return self.next_if(")").then_some(inner);
        }
        let name = *self.words.get(self.at)?;
        if matches!(name, "OR" | "AND" | "WITH" | ")") {
            return None;
        }
        self.at += 1;
        // An exception only allows more.
        if self.next_if("WITH") {
            self.words.get(self.at)?;
            self.at += 1;
        }
        Some(ALLOWED.contains(&name))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(expression: &str, allowed: bool) {
        assert_eq!(is_allowed(expression), Ok(allowed), "{expression}");
    }

    #[test]
    fn one_of_several_is_enough_and_both_of_two_are_needed() {
        check("MIT", true);
        check("MIT/Apache-2.0", true);
        check("GPL-3.0-only", false);
        check("GPL-3.0-only OR MIT", true);
        check("GPL-3.0-only AND MIT", false);
        check("(MIT OR Apache-2.0) AND Unicode-3.0", true);
        check("(MIT OR GPL-3.0-only) AND LGPL-3.0-only", false);
        // AND binds more than OR: SPDX specification 2.3, annex D.4.5.
        check("MIT OR GPL-3.0-only AND LGPL-3.0-only", true);
        check("Apache-2.0 WITH LLVM-exception", true);
    }

    #[test]
    fn what_is_no_expression_is_told() {
        for words in [
            "",
            "MIT OR",
            "(MIT",
            "MIT Apache-2.0",
            "AND MIT",
            "MIT WITH",
        ] {
            assert!(is_allowed(words).is_err(), "{words}");
        }
    }
}
