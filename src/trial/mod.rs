//! From recordings and settings to one [`Trial`]: a pure function, [`analyse`].

mod analyse;
pub use analyse::{ReadTrial, analyse};

mod result;
pub use result::{
    Configuration, Day, GroupSource, OtherAnswer, Reading, SCHEMA, Setting, TrackSummary, Trial,
    Zone, ZoneSource,
};

mod settings;
pub use settings::Settings;

mod rules;
pub use rules::Rules;

mod days;

mod groups;

mod noted;

mod reading;

mod warning;
pub use warning::Warning;

mod warn;
