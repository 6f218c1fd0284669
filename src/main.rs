//! The program `bladewane`.

fn main() {}
