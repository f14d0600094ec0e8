//! Reads `tauri.conf.json` and names the window's one command, so that it is refused unless a capability grants it.

fn main() {
    // The screens are built into the program.
    println!("cargo:rerun-if-changed=../ui/dist");
    let manifest = tauri_build::AppManifest::new().commands(&["door"]);
    let attributes = tauri_build::Attributes::new().app_manifest(manifest);
    tauri_build::try_build(attributes).expect("tauri.conf.json and capabilities/ are readable");
}
