//! Writes every figure of invented data to a folder, in all widths and formats:
//! `cargo run -p agogic-figures --example gallery -- FOLDER`.

#[path = "../tests/invented/mod.rs"]
mod invented;

use std::fs;
use std::path::PathBuf;

use agogic_figures::{Width, page_css};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("name a folder to write to")?);
    fs::create_dir_all(&folder)?;
    let mut page = format!(
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>Gallery</title>\n\
         <meta name=\"viewport\" content=\"width=device-width\">\n<style>{}body{{background:var(--figure-paper);\
         color:var(--figure-text);font-family:sans-serif;margin:1rem}}</style></head><body><main>\n<h1>Gallery</h1>\n",
        page_css()
    );
    for width in Width::ALL {
        for (name, figure) in invented::gallery(width) {
            let figure = figure?;
            let stem = format!("{name}-{}", width.name());
            for flaw in figure.flaws() {
                eprintln!("{stem}: {flaw}");
            }
            fs::write(folder.join(format!("{stem}.svg")), figure.svg())?;
            fs::write(folder.join(format!("{stem}-outlined.svg")), figure.outlined_svg()?)?;
            fs::write(folder.join(format!("{stem}.pdf")), figure.pdf()?)?;
            fs::write(folder.join(format!("{stem}.png")), figure.png(300.0)?)?;
            if width == Width::Screen {
                page.push_str(&format!(
                    "<figure>{}<figcaption>{}</figcaption></figure>\n",
                    figure.page_svg(&stem),
                    figure.caption()
                ));
                println!("{name}: {}\n", figure.alt_text());
            }
        }
    }
    page.push_str("</main></body></html>\n");
    fs::write(folder.join("gallery.html"), page)?;
    Ok(())
}
