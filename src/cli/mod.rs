//! The command line: arguments, files, terminal. One file a command.

pub mod report;
