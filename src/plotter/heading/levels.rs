//! The mean of each setting's double runs: level lines, and what names them.

use super::{FOOT, LEFT, RADIUS, plot};
use crate::compare::Cell;
use crate::plotter::day::Day;
use crate::plotter::marks::{self, Filling};
use crate::plotter::pen::Pen;
use crate::plotter::place::Pt;
use crate::plotter::sheet::{Align, Drawn, Letters, Scale, Sheet};
use crate::plotter::spread::spread;
use crate::plotter::style::{Dash, Ink, Shape, TEXT, TICK, WIDTH};
use crate::plotter::text;

/// Height of the label of a level.
const LEVEL_LABEL: f64 = 34.0;
/// Height of a line of the key of a narrow chart.
pub(super) const KEY_LINE: f64 = 20.0;

/// A level line at the mean of each setting's double runs, named at the right, or marked there and
/// named below.
pub(super) fn draw_levels(
    sheet: &Sheet,
    day: &Day,
    scale: &Scale,
    name: &str,
    place: usize,
) -> Drawn {
    let area = scale.area;
    let narrow = day.layout.is_narrow();
    let pen = Pen::new(Ink::Configuration(place));
    let cells: Vec<_> = day
        .cells()
        .filter(|cell| cell.configuration == name)
        .collect();
    let wanted: Vec<f64> = cells
        .iter()
        .map(|cell| scale.y(day.speed(cell.mean_m_s)))
        .collect();
    let room = [area.top + 8.0, area.bottom - day.layout.pick(22.0, 8.0)];
    let places = spread(&wanted, day.layout.pick(LEVEL_LABEL, 3.0 * RADIUS), room);
    for (k, ((cell, y), label)) in cells.iter().zip(wanted).zip(places).enumerate() {
        let setting = day.setting(&cell.setting);
        let (from, to) = (Pt::new(area.left, y), Pt::new(area.right, y));
        sheet.line(from, to, pen.wide(1.3).dashed(Dash::of(setting)))?;
        let mark = Pt::new(area.right + 14.0, label);
        sheet.line(to, mark.by(-7.0, 0.0), Pen::new(Ink::Muted).wide(0.7))?;
        marks::mark(
            sheet,
            Shape::of(setting),
            Filling::of(setting),
            mark,
            RADIUS,
            pen,
        )?;
        if narrow {
            draw_key_line(sheet, day, cell, k, pen)?;
            continue;
        }
        let words = mark.by(10.0, TEXT * 0.35);
        let fitted = text::fitted(&cell.setting, TICK, WIDTH - words.x - 4.0);
        sheet.text(&fitted, words, Letters::new(TICK, Align::Start))?;
        sheet.text(
            &day.speed_text(cell.mean_m_s),
            words.by(0.0, TICK + 3.0),
            Letters::new(TICK, Align::Start).muted(),
        )?;
    }
    Ok(())
}

/// A line of the key below a narrow chart: the mark of a setting, its name and its mean.
fn draw_key_line(sheet: &Sheet, day: &Day, cell: &Cell, line: usize, pen: Pen) -> Drawn {
    let setting = day.setting(&cell.setting);
    let y = plot(day).bottom + FOOT + (line as f64 + 0.5) * KEY_LINE;
    let (from, to) = (Pt::new(LEFT, y), Pt::new(LEFT + 28.0, y));
    sheet.line(from, to, pen.wide(1.3).dashed(Dash::of(setting)))?;
    let (shape, filling) = (Shape::of(setting), Filling::of(setting));
    marks::mark(sheet, shape, filling, from.toward(to, 0.5), RADIUS, pen)?;
    let mean = format!(", mean {}", day.speed_text(cell.mean_m_s));
    let room = day.layout.width() - to.x - 16.0 - text::width(&mean, TICK);
    let words = text::fitted(&format!("setting {}", cell.setting), TICK, room) + &mean;
    let at = to.by(8.0, TICK * 0.35);
    sheet.text(&words, at, Letters::new(TICK, Align::Start))
}
