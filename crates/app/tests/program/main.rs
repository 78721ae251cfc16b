//! The program as it is started: commands, files, books that are hurt, words in the documents. One
//! program for all files: each for itself would bring the whole house along once more.

mod book_commands;
mod command_line;
mod common;
mod docs;
mod guide;
mod hurt_books;
mod set_up_sheet;
mod written_files;
