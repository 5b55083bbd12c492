//! Draws the committed pictures anew: `cargo run -p agogic-policy --example pictures`.

#[path = "../tests/all/common/scenes.rs"]
mod scenes;

fn main() -> std::io::Result<()> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("pictures");
    for (name, svg) in scenes::pictures() {
        std::fs::write(folder.join(&name), svg)?;
        println!("{name}");
    }
    Ok(())
}
