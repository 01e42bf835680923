//! Finishing: from what plotters wrote to a figure that stands alone and in a page.
//!
//! plotters' drawing is read element by element and written anew: lengths
//! divided by the steps of the sheet, colours turned back into pens
//! ([`super::pen`]) and then into classes and `currentColor`, consecutive marks
//! of one leg gathered into one group with `data-leg`, and the whole headed by
//! title, description, style sheet and hatching. Ids bear the chart's name, so
//! that several charts can lie in one page. A narrow drawing lies beside its wide one, and refers to
//! its title, description and style sheet.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use quick_xml::Reader;
use quick_xml::escape::escape;
use quick_xml::events::{BytesStart, Event};

use super::PlotError;
use super::layout::Layout;
use super::pen::PenCode;
use super::place::Pt;
use super::style::{self, Dash, Ink};

/// What stands at the head of the figure.
pub(crate) struct Head {
    /// The chart's name: part of every id.
    pub(crate) name: String,
    /// The title.
    pub(crate) title: String,
    /// The text alternative.
    pub(crate) alt: String,
    /// What to say of each leg when it is pointed at.
    pub(crate) legs: BTreeMap<usize, String>,
}

/// Rewrites a drawing of plotters' as the finished figure.
pub(crate) fn finish(
    raw: &str,
    head: &Head,
    layout: Layout,
    size: Pt,
) -> Result<String, PlotError> {
    let mut out = opening(head, layout, size);
    let mut reader = Reader::from_str(raw);
    let mut open_leg = None;
    loop {
        match reader.read_event()? {
            Event::Empty(tag) | Event::Start(tag) if tag.name().as_ref() != "svg" => {
                let marks = Marks::read(&tag)?;
                group(&mut out, &mut open_leg, marks.pen.leg, head, layout);
                marks.write(&mut out, &hatch(head, layout), layout);
            }
            Event::Text(words) => {
                // The backend puts line breaks of its own round every text.
                out.push_str(words.trim_matches('\n'));
            }
            Event::GeneralRef(name) => {
                let _ = write!(out, "&{};", &*name);
            }
            Event::End(tag) if tag.name().as_ref() == "text" => out.push_str("</text>\n"),
            Event::Eof => break,
            _ => {}
        }
    }
    group(&mut out, &mut open_leg, None, head, layout);
    out.push_str("</svg>\n");
    Ok(out)
}

fn opening(head: &Head, layout: Layout, size: Pt) -> String {
    let Head { name, .. } = head;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"tb-chart{}\" viewBox=\"0 0 {} {}\" width=\"100%\" role=\"img\" aria-labelledby=\"{name}-title {name}-desc\">\n",
        layout.pick("", " tb-slim"),
        size.x,
        size.y
    );
    if layout.is_narrow() {
        write_hatch(&mut out, head, layout);
        return out;
    }
    let _ = write!(
        out,
        "<title id=\"{name}-title\">{}</title>\n<desc id=\"{name}-desc\">{}</desc>\n<style>\n{}</style>\n",
        escape(head.title.as_str()),
        escape(head.alt.as_str()),
        style::sheet()
    );
    write_hatch(&mut out, head, layout);
    out
}

/// The id of the hatching: each drawing has its own, since one that is not shown may lend none.
fn hatch(head: &Head, layout: Layout) -> String {
    format!("{}{}-hatch", head.name, layout.pick("", "-narrow"))
}

fn write_hatch(out: &mut String, head: &Head, layout: Layout) {
    let _ = writeln!(
        out,
        "<defs><pattern id=\"{}\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\"><path class=\"{}\" d=\"M0 0V6\" stroke=\"currentColor\" stroke-width=\"1.6\"/></pattern></defs>",
        hatch(head, layout),
        Ink::class(Ink::Hatch.index())
    );
}

/// Closes the group of the leg before and opens the next one's, where they differ.
fn group(
    out: &mut String,
    open: &mut Option<usize>,
    leg: Option<usize>,
    head: &Head,
    layout: Layout,
) {
    if *open == leg {
        return;
    }
    if open.is_some() {
        out.push_str("</g>\n");
    }
    if let Some(number) = leg {
        let _ = write!(out, "<g class=\"tb-leg\" data-leg=\"{number}\">");
        // Where there is no mouse to rest on a leg, nobody would see its words.
        if let Some(words) = head.legs.get(&number).filter(|_| !layout.is_narrow()) {
            let _ = write!(out, "<title>{}</title>", escape(words.as_str()));
        }
        out.push('\n');
    }
    *open = leg;
}

/// One element of the drawing.
struct Marks {
    tag: &'static str,
    pen: PenCode,
    filled: bool,
    opacity: Option<String>,
    width: Option<f64>,
    /// Lengths and points, already divided, in the order they came.
    lengths: Vec<(String, String)>,
    bold: bool,
}

impl Marks {
    fn read(tag: &BytesStart) -> Result<Self, PlotError> {
        let mut marks = Self {
            tag: match tag.name().as_ref() {
                "circle" => "circle",
                "line" => "line",
                "polygon" => "polygon",
                "rect" => "rect",
                "text" => "text",
                _ => "polyline",
            },
            pen: PenCode {
                tone: 0,
                low: 0,
                leg: None,
            },
            filled: false,
            opacity: None,
            width: None,
            lengths: Vec::new(),
            bold: false,
        };
        for attribute in tag.attributes() {
            let attribute = attribute?;
            let key = attribute.key.as_ref().to_owned();
            let value = attribute.value.into_owned();
            match key.as_str() {
                "fill" | "stroke" => {
                    if let Some(pen) = PenCode::read(&value) {
                        marks.pen = pen;
                        marks.filled = key == "fill";
                    }
                }
                "opacity" if value != "1" => marks.opacity = Some(value),
                "stroke-width" => marks.width = value.parse().ok().map(|w: f64| w / 10.0),
                "font-weight" => marks.bold = true,
                "points" => {
                    let points: Vec<String> = value.split_whitespace().map(point).collect();
                    marks.lengths.push((key, points.join(" ")));
                }
                "text-anchor" if value != "start" => marks.lengths.push((key, value)),
                "font-size" => {
                    // The backend's division leaves a long fraction behind.
                    let size: f64 = value.parse().unwrap_or_default();
                    marks.lengths.push((key, tenths(&size.round().to_string())));
                }
                "x" | "y" | "x1" | "y1" | "x2" | "y2" | "cx" | "cy" | "r" | "width" | "height" => {
                    marks.lengths.push((key, tenths(&value)));
                }
                _ => {}
            }
        }
        Ok(marks)
    }

    fn write(&self, out: &mut String, hatch: &str, layout: Layout) {
        let text = self.tag == "text";
        let halo = if text && self.pen.low > 0 {
            " tb-halo"
        } else {
            ""
        };
        let class = Ink::class(self.pen.tone);
        let _ = write!(out, "<{} class=\"{class}{halo}\"", self.tag);
        if self.filled && Ink::is_hatch(self.pen.tone) {
            let _ = write!(out, " fill=\"url(#{hatch})\"");
        } else if self.filled {
            out.push_str(" fill=\"currentColor\"");
        } else {
            let width = self.width.unwrap_or(1.0);
            // In a narrow drawing the style sheet says so of lines: most of it is lines.
            if self.tag != "polyline" || !layout.is_narrow() {
                out.push_str(" fill=\"none\" stroke=\"currentColor\"");
            }
            let _ = write!(out, " stroke-width=\"{width}\"");
            if let Some(dashes) = Dash::pattern(self.pen.low, width) {
                let _ = write!(out, " stroke-dasharray=\"{dashes}\"");
            }
        }
        if let Some(opacity) = &self.opacity {
            let _ = write!(out, " opacity=\"{opacity}\"");
        }
        if self.bold {
            out.push_str(" font-weight=\"600\"");
        }
        for (key, value) in &self.lengths {
            let _ = write!(out, " {key}=\"{value}\"");
        }
        out.push_str(if text { ">" } else { "/>\n" });
    }
}

/// `x,y` in steps to `x,y` in units.
fn point(steps: &str) -> String {
    match steps.split_once(',') {
        Some((x, y)) => format!("{},{}", tenths(x), tenths(y)),
        None => tenths(steps),
    }
}

/// A whole number of steps as units: `1234` to `123.4`, `-50` to `-5`.
fn tenths(steps: &str) -> String {
    let steps: i64 = steps.parse().unwrap_or_default();
    let sign = if steps < 0 { "-" } else { "" };
    let (whole, rest) = (steps.abs() / 10, steps.abs() % 10);
    if rest == 0 {
        format!("{sign}{whole}")
    } else {
        format!("{sign}{whole}.{rest}")
    }
}

#[cfg(test)]
mod tests {
    use super::tenths;

    #[test]
    fn steps_become_units() {
        for (steps, units) in [
            ("0", "0"),
            ("7", "0.7"),
            ("1234", "123.4"),
            ("-50", "-5"),
            ("-3", "-0.3"),
        ] {
            assert_eq!(tenths(steps), units);
        }
    }
}
