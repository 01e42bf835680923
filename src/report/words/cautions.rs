//! What must be said beside any result.

/// The cautions, one sentence or two each.
pub fn cautions() -> [&'static str; 4] {
    [
        "Before you swap or touch a propeller, disconnect the battery.",
        "Keep a proper lookout at all times while you run a trial (COLREG rule 5): one person steers and looks out, another minds the recorder. Wear life jackets, wear the engine cut-off, and put weather and other boats before straight lines.",
        "More speed can come from more load. Without a measured current nothing here says that a part is more efficient: compare the motor's draw with its maker's rating.",
        "Local rules and licensed practice come first.",
    ]
}
