//! Charts as PNG, for editors that want pixels: at print resolution, on white paper.
//!
//! Letters are set in the embedded `DejaVu Sans`, the same on every machine and on those without
//! fonts; letters it lacks are looked for among the fonts of the system.

use std::sync::Arc;

use flate2::Crc;
use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg::{self, Options, Tree, fontdb};

use super::chart::Chart;
use super::style::Width;

/// Dots per inch at the printed width: what printers of books and magazines ask of pictures (common
/// practice, no source).
pub const PRINT_DPI: f64 = 300.0;
/// The width at which the page prints a chart, millimetres (the same stands in its style sheet).
pub const PRINT_WIDTH_MM: f64 = 132.0;
/// Millimetres in an inch, exact (NIST SP 811, B.8).
const MM_PER_INCH: f64 = 25.4;
/// Bytes of a PNG up to the end of its header chunk (PNG specification, third edition, 5.2 and
/// 11.2.1): signature 8, length 4, name 4, header 13, check 4.
const HEADER_END: usize = 33;

/// Why a chart could not be drawn in pixels.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum RasterError {
    /// The renderer could not read the drawing.
    #[error(
        "cannot read the drawing of a chart\nhint: this is a fault of the program; `--charts \
            svg` does without"
    )]
    Read(#[from] usvg::Error),
    /// There was no room for the picture.
    #[error(
        "cannot make a picture of {width} by {height} pixels\nhint: is there memory left? \
            `--charts svg` needs little"
    )]
    Size {
        /// Width.
        width: u32,
        /// Height.
        height: u32,
    },
    /// The picture could not be packed.
    #[error(
        "cannot pack the picture of a chart\nhint: this is a fault of the program; `--charts \
            svg` does without"
    )]
    Pack,
}

/// Draws charts in pixels; reads the fonts once.
#[derive(Debug)]
pub struct Raster {
    fonts: Arc<fontdb::Database>,
}

impl Default for Raster {
    fn default() -> Self {
        Self::new()
    }
}

impl Raster {
    /// With the embedded font, and those of the system behind it.
    pub fn new() -> Self {
        let mut fonts = fontdb::Database::new();
        fonts.load_font_data(dejavu::sans::regular().to_vec());
        fonts.load_font_data(dejavu::sans::bold().to_vec());
        fonts.load_system_fonts();
        fonts.set_sans_serif_family("DejaVu Sans");
        Self {
            fonts: Arc::new(fonts),
        }
    }

    /// The chart as a PNG of [`PRINT_DPI`] at [`PRINT_WIDTH_MM`], on white.
    ///
    /// # Errors
    /// [`RasterError`]; none depends on the data, save that the picture of a very tall chart may
    /// not fit in memory.
    pub fn png(&self, chart: &Chart) -> Result<Vec<u8>, RasterError> {
        let options = Options {
            fontdb: Arc::clone(&self.fonts),
            font_family: "DejaVu Sans".to_owned(),
            ..Options::default()
        };
        let tree = Tree::from_str(&chart.on_light_paper(), &options)?;
        let scale = (PRINT_WIDTH_MM / MM_PER_INCH * PRINT_DPI / Width::Wide.units()) as f32;
        let size = tree.size();
        let [width, height] =
            [size.width(), size.height()].map(|side| (side * scale).round() as u32);
        let mut picture = Pixmap::new(width, height).ok_or(RasterError::Size { width, height })?;
        picture.fill(Color::WHITE);
        resvg::render(
            &tree,
            Transform::from_scale(scale, scale),
            &mut picture.as_mut(),
        );
        let bytes = picture.encode_png().map_err(|_| RasterError::Pack)?;
        Ok(with_resolution(&bytes))
    }
}

/// The picture with the chunk that says how many pixels go to a metre (PNG specification,
/// 11.3.4.3).
fn with_resolution(png: &[u8]) -> Vec<u8> {
    let per_metre = (PRINT_DPI * 1000.0 / MM_PER_INCH).round() as u32;
    let mut chunk = b"pHYs".to_vec();
    chunk.extend(per_metre.to_be_bytes());
    chunk.extend(per_metre.to_be_bytes());
    chunk.push(1);
    let mut check = Crc::new();
    check.update(&chunk);
    let Some((header, rest)) = png.split_at_checked(HEADER_END) else {
        return png.to_vec();
    };
    let length = (chunk.len() - 4) as u32;
    [
        header,
        &length.to_be_bytes(),
        &chunk,
        &check.sum().to_be_bytes(),
        rest,
    ]
    .concat()
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test may fail loudly")]
mod tests {
    use super::super::chart::ChartKind;
    use super::super::sheet::{Area, Pen};
    use super::super::style::Ink;
    use super::*;

    #[test]
    fn a_chart_becomes_a_picture_of_its_printed_size() {
        let words = ["one".to_owned(), String::new(), String::new()];
        let chart = Chart::new(ChartKind::Comparison, words, |sheet| {
            let pen = Pen::new(Ink::Configuration(0));
            sheet.rect(Area::new(50.0, 40.0, 90.0, 100.0), pen);
            300.0
        });
        let png = Raster::new().png(&chart).unwrap();
        let read = Pixmap::decode_png(&png).unwrap();
        // 132 mm at 300 dots an inch.
        assert_eq!((read.width(), read.height()), (1559, 780));
        let blue = |p: &&resvg::tiny_skia::PremultipliedColorU8| {
            (p.red(), p.green(), p.blue()) == (0, 0x72, 0xb2)
        };
        assert!(read.pixels().iter().filter(blue).count() > 1000);
        assert!(png.windows(4).any(|four| four == b"pHYs"));
    }
}
