//! Which sentences are read, by the last three letters of their address.

/// What a sentence tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Rmc,
    Gga,
    Gns,
    Gll,
    Vtg,
    Zda,
    Hdt,
    Ths,
    Hdg,
    Hdm,
    Vhw,
    Dpt,
    Dbt,
    Dbs,
    Dbk,
    Mwd,
    Mwv,
    Vwt,
    Vwr,
}

impl Kind {
    /// How many there are.
    pub(super) const COUNT: usize = 19;

    /// The kind with these letters; `None` for one that is passed over.
    pub(super) fn of(letters: [u8; 3]) -> Option<Self> {
        Some(match &letters {
            b"RMC" => Self::Rmc,
            b"GGA" => Self::Gga,
            b"GNS" => Self::Gns,
            b"GLL" => Self::Gll,
            b"VTG" => Self::Vtg,
            b"ZDA" => Self::Zda,
            b"HDT" => Self::Hdt,
            b"THS" => Self::Ths,
            b"HDG" => Self::Hdg,
            b"HDM" => Self::Hdm,
            b"VHW" => Self::Vhw,
            b"DPT" => Self::Dpt,
            b"DBT" => Self::Dbt,
            b"DBS" => Self::Dbs,
            b"DBK" => Self::Dbk,
            b"MWD" => Self::Mwd,
            b"MWV" => Self::Mwv,
            b"VWT" => Self::Vwt,
            b"VWR" => Self::Vwr,
            _ => return None,
        })
    }
}
