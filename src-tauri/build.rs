//! Reads `tauri.conf.json` and names the window's two commands, so that they are refused unless a capability grants
//! them.

fn main() {
    // The screens are built into the program.
    println!("cargo:rerun-if-changed=../ui/dist");
    let manifest = tauri_build::AppManifest::new().commands(&["door", "keep"]);
    let attributes = tauri_build::Attributes::new().app_manifest(manifest);
    tauri_build::try_build(attributes).expect("tauri.conf.json and capabilities/ are readable");
}
