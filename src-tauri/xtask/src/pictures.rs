//! `cargo xtask pictures`: the pictures of the README, taken in a real browser and put in their place.

use crate::steps::{Step, cargo, command, root, run, target};
use crate::test::TARGETS;
use crate::{packages, screens};

/// What is in the README; `tests/chromium/look.rs` takes them.
const NAMES: [&str; 4] = ["caseload", "give", "map", "chart"];
const TEST: &str = "binary(screens) and test(=chromium::look::the_pictures_of_the_readme)";

/// Takes them and makes them small.
///
/// # Errors
/// A sentence, when the program does not build or a picture cannot be taken.
pub(crate) fn pictures() -> Result<(), String> {
    packages::install(&[packages::BUILD, packages::TEST, packages::PICTURES].concat())?;
    screens::modules()?;
    screens::build()?;
    Step::start("build").run(cargo(&["build"]).args(TARGETS))?;
    let mut take = cargo(&["nextest", "run"]);
    take.args(TARGETS);
    take.args(["--config-file", "tests/nextest.toml", "--filterset", TEST]);
    take.env("FALLOW_BIN", target().join("debug/fallow"));
    Step::start("pictures").run(&mut take)?;
    for name in NAMES {
        let taken = target().join(format!("screens/readme-{name}.png"));
        let kept = root().join(format!("ui/pictures/{name}.png"));
        // Few colours and no metadata: a picture of a screen in a tenth of its size, and the same one again.
        let mut shrink = command("convert", &[]);
        shrink
            .arg(&taken)
            .args(["-resize", "360x", "-colors", "128", "-strip"])
            .arg(format!("PNG8:{}", kept.display()));
        run(&mut shrink)?;
        println!("   {}", kept.display());
    }
    Ok(())
}
