//! Prints the TypeScript of the door's types; `cargo xtask types` puts it into the screens.

use std::io::Write as _;

fn main() -> std::io::Result<()> {
    std::io::stdout().write_all(fallow_api::typescript().as_bytes())
}
