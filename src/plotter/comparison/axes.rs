//! The axes along the foot: speeds, and changes with what their sides mean.

use crate::plotter::axis;
use crate::plotter::pen::Pen;
use crate::plotter::place::Pt;
use crate::plotter::sheet::{Align, Drawn, Letters, Scale, Sheet};
use crate::plotter::style::{Ink, NOTE};

/// The least room for a word on either side of no change.
const SIDE: f64 = 48.0;

/// Draws grid lines through the bands, upper and lower edge each, and the axis below them.
pub(super) fn draw_grid(
    sheet: &Sheet,
    scale: &Scale,
    ticks: &[axis::Tick],
    title: &str,
    bands: &[[f64; 2]],
) -> Drawn {
    for tick in ticks {
        let x = scale.x(tick.at);
        for [top, bottom] in bands {
            sheet.line(Pt::new(x, *top), Pt::new(x, *bottom), Pen::new(Ink::Grid))?;
        }
    }
    axis::draw_foot(sheet, scale, ticks)?;
    axis::draw_foot_title(sheet, scale, axis::FOOT, title)
}

/// Draws the axis of changes in percent, with some `ticks` ticks, a heavy line at none and the words
/// on either side of it.
pub(crate) fn draw_changes(sheet: &Sheet, scale: &Scale, ticks: f64, bands: &[[f64; 2]]) -> Drawn {
    let area = scale.area;
    let [low, high] = [area.left, area.right].map(|x| scale.value_at(x));
    let ticks = axis::ticks(low, high, ticks, true);
    draw_grid(sheet, scale, &ticks, "change in speed (%)", bands)?;
    let zero = scale.x(0.0);
    for [top, bottom] in bands {
        // In a wide chart it reaches up to what its sides mean.
        let top = if *top <= area.top {
            area.top - 4.0
        } else {
            *top
        };
        let pen = Pen::new(Ink::Text).wide(1.2);
        sheet.line(Pt::new(zero, top), Pt::new(zero, *bottom), pen)?;
    }
    let small = Letters::new(NOTE, Align::Middle).muted();
    let sides = [
        ("slower", Align::End, -7.0, zero - area.left),
        ("faster", Align::Start, 7.0, area.right - zero),
    ];
    for (words, align, dx, room) in sides {
        if room > SIDE {
            let at = Pt::new(zero + dx, area.top - 8.0);
            sheet.text(words, at, Letters { align, ..small })?;
        }
    }
    Ok(())
}
