//! The program `layfig`: see the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    layfig::cli::main(std::env::args_os())
}
