//! The columns of a table that are of use.

use super::compass::{Compass, North};
use super::names::{CountUnit, Kind, Unit, kind_of};
use crate::parser::unit::DepthUnit;
use crate::units::SpeedUnit;

/// A column that holds latitude or longitude.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct AngleColumn {
    pub(super) index: usize,
    /// Degrees in one.
    pub(super) scale: f64,
}

/// A column that holds times.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct TimeColumn {
    pub(super) index: usize,
    /// The unit the header names, for counts.
    pub(super) unit: Option<CountUnit>,
}

/// A column that holds a quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct MeasuredColumn<T> {
    pub(super) index: usize,
    pub(super) unit: Unit<T>,
}

/// A column of headings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct HeadingColumn {
    pub(super) index: usize,
    pub(super) north: North,
}

/// Which column holds what.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Columns {
    pub(super) latitude: Option<AngleColumn>,
    pub(super) longitude: Option<AngleColumn>,
    /// Whether the two are called `x` and `y`, so that their meaning is open.
    pub(super) by_letters: bool,
    pub(super) north_south: Option<usize>,
    pub(super) east_west: Option<usize>,
    pub(super) times: Vec<TimeColumn>,
    pub(super) elapsed: Vec<TimeColumn>,
    pub(super) dates: Vec<usize>,
    pub(super) speed: Option<MeasuredColumn<SpeedUnit>>,
    pub(super) course: Option<usize>,
    pub(super) depth: Option<MeasuredColumn<DepthUnit>>,
    pub(super) water_speed: Option<MeasuredColumn<SpeedUnit>>,
    pub(super) heading: Option<HeadingColumn>,
    pub(super) variation: Option<usize>,
}

impl Columns {
    /// By the names in a header; of two columns of one kind the first counts.
    pub(super) fn named<'a>(header: impl IntoIterator<Item = &'a str>) -> Self {
        let mut columns = Self::default();
        let (mut x, mut y) = (None, None);
        for (index, name) in header.into_iter().enumerate() {
            let Some(kind) = kind_of(name) else { continue };
            match kind {
                Kind::Latitude(scale) => {
                    columns.latitude.get_or_insert(AngleColumn { index, scale });
                }
                Kind::Longitude(scale) => {
                    columns
                        .longitude
                        .get_or_insert(AngleColumn { index, scale });
                }
                Kind::X => {
                    x.get_or_insert(AngleColumn { index, scale: 1.0 });
                }
                Kind::Y => {
                    y.get_or_insert(AngleColumn { index, scale: 1.0 });
                }
                Kind::NorthSouth => {
                    columns.north_south.get_or_insert(index);
                }
                Kind::EastWest => {
                    columns.east_west.get_or_insert(index);
                }
                Kind::Time(unit) => columns.times.push(TimeColumn { index, unit }),
                Kind::Elapsed(unit) => columns.elapsed.push(TimeColumn { index, unit }),
                Kind::Date => columns.dates.push(index),
                Kind::Speed(unit) => {
                    columns.speed.get_or_insert(MeasuredColumn { index, unit });
                }
                Kind::WaterSpeed(unit) => {
                    columns
                        .water_speed
                        .get_or_insert(MeasuredColumn { index, unit });
                }
                Kind::Compass(Compass::Variation) => {
                    columns.variation.get_or_insert(index);
                }
                Kind::Compass(Compass::Heading(north)) => {
                    let column = HeadingColumn { index, north };
                    // A compass and its correction may both be there: the corrected one counts.
                    if columns
                        .heading
                        .is_none_or(|there| rank(north) < rank(there.north))
                    {
                        columns.heading = Some(column);
                    }
                }
                Kind::Course => {
                    columns.course.get_or_insert(index);
                }
                Kind::Depth(unit) => {
                    columns.depth.get_or_insert(MeasuredColumn { index, unit });
                }
            }
        }
        if columns.latitude.is_none() && columns.longitude.is_none() {
            columns.latitude = y;
            columns.longitude = x;
            columns.by_letters = x.is_some() && y.is_some();
        }
        columns.take_over_speed_unit();
        columns
    }

    /// One recorder shows both speeds alike: where only one column names its unit, it is that of both.
    ///
    /// Speeds through the water cannot be held against the positions, so without a unit they are of no use.
    fn take_over_speed_unit(&mut self) {
        let ground = self.speed.map(|column| column.unit);
        if let (Some(water), Some(Unit::Known(_))) = (&mut self.water_speed, ground)
            && water.unit == Unit::Unsaid
        {
            water.unit = ground.unwrap_or(Unit::Unsaid);
        }
    }

    /// How many of position and time are there: 0 to 3.
    pub(super) fn essentials(&self) -> usize {
        usize::from(self.latitude.is_some())
            + usize::from(self.longitude.is_some())
            + usize::from(self.has_time())
    }

    /// Whether any column may hold the time.
    pub(super) fn has_time(&self) -> bool {
        !(self.times.is_empty() && self.elapsed.is_empty() && self.dates.is_empty())
    }

    /// What is missing, in words; `None` where nothing is.
    pub(super) fn missing(&self) -> Option<String> {
        let missing: Vec<&str> = [
            (self.latitude.is_some(), "latitude"),
            (self.longitude.is_some(), "longitude"),
            (self.has_time(), "time"),
        ]
        .into_iter()
        .filter_map(|(there, name)| (!there).then_some(name))
        .collect();
        (!missing.is_empty()).then(|| missing.join(" and "))
    }
}

/// The headings of less worth have the larger rank.
fn rank(north: North) -> u8 {
    match north {
        North::True => 0,
        North::Unsaid => 1,
        North::Magnetic => 2,
    }
}
