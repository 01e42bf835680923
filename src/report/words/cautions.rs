//! What protects a person: said where something is done or relied on, never left out.

/// The cautions of a trial, one sentence or two each.
pub fn cautions() -> [&'static str; 4] {
    [
        "Before you swap or touch a propeller, disconnect the battery.",
        "Keep a proper lookout at all times while you run a trial (COLREG rule 5): one person steers and looks out, another minds the recorder. Wear life jackets, wear the engine cut-off, and put weather and other boats before straight lines.",
        MORE_LOAD,
        "Local rules and licensed practice come first.",
    ]
}

/// Beside a gain in speed whose draw is not known.
pub(crate) const MORE_LOAD: &str = "More speed can come from more load on the motor. No current was measured, so nothing here says that the boat became more efficient; compare the draw with the maker’s rating.";

/// For a reader who would do the same.
pub(crate) const TO_REPEAT: &str = "To repeat it: disconnect the battery before you touch a propeller; life jackets, engine cut-off, and a lookout who does nothing else.";

/// Beside every distance on a charge.
pub(crate) const DISTANCES: &str = "Distances on a charge are estimates for the wind and load of that day: more wind, waves, cold and an aged battery all take more. Keep a reserve.";

/// Beside every reading of a current.
pub(super) const CLAMP: &str = "Disconnect the battery before you swap a propeller or open the circuit; a clamp meter goes round one cable and opens nothing. Keep the draw below what maker, cable and fuse allow.";
