//! What a finding on a blade is and which side it is on, in the words of the records.

/// The side of the blade a finding is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Surface {
    /// Front edge in rotation.
    LeadingEdge,
    /// Rear edge in rotation.
    TrailingEdge,
    /// The flat, aft side.
    Face,
    /// The round, forward side.
    Camber,
    /// The outer end.
    Tip,
    /// The middle, with the bolt holes.
    Hub,
}

impl Surface {
    /// Every surface, in the order records list them.
    pub const ALL: [Surface; 6] =
        [Surface::LeadingEdge, Surface::TrailingEdge, Surface::Face, Surface::Camber, Surface::Tip, Surface::Hub];

    /// The word in records.
    pub const fn word(self) -> &'static str {
        match self {
            Surface::LeadingEdge => "leading_edge",
            Surface::TrailingEdge => "trailing_edge",
            Surface::Face => "face",
            Surface::Camber => "camber",
            Surface::Tip => "tip",
            Surface::Hub => "hub",
        }
    }

    /// The words for a reader.
    pub const fn words(self) -> &'static str {
        match self {
            Surface::LeadingEdge => "leading edge",
            Surface::TrailingEdge => "trailing edge",
            other => other.word(),
        }
    }

    /// Leading or trailing edge.
    pub const fn is_edge(self) -> bool {
        matches!(self, Surface::LeadingEdge | Surface::TrailingEdge)
    }

    /// Face or camber.
    pub const fn is_broad(self) -> bool {
        matches!(self, Surface::Face | Surface::Camber)
    }
}

/// What a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DefectKind {
    /// A sharp notch.
    Nick,
    /// Metal torn out.
    Gouge,
    /// A line.
    Scratch,
    /// Metal pushed in.
    Dent,
    /// A small hole of corrosion.
    Pit,
    /// Corrosion over an area.
    Corrosion,
    /// Sand and rain wear.
    Erosion,
    /// Blade bent.
    Bend,
    /// Crack, of any size.
    Crack,
    /// Lightning strike.
    Lightning,
    /// Ground or object strike.
    Strike,
    /// Run above its limit of revolutions.
    Overspeed,
    /// Anything else.
    Other,
}

impl DefectKind {
    /// Every kind, in the order records list them.
    pub const ALL: [DefectKind; 13] = [
        DefectKind::Nick,
        DefectKind::Gouge,
        DefectKind::Scratch,
        DefectKind::Dent,
        DefectKind::Pit,
        DefectKind::Corrosion,
        DefectKind::Erosion,
        DefectKind::Bend,
        DefectKind::Crack,
        DefectKind::Lightning,
        DefectKind::Strike,
        DefectKind::Overspeed,
        DefectKind::Other,
    ];

    /// The word in records, and for a reader.
    pub const fn word(self) -> &'static str {
        match self {
            DefectKind::Nick => "nick",
            DefectKind::Gouge => "gouge",
            DefectKind::Scratch => "scratch",
            DefectKind::Dent => "dent",
            DefectKind::Pit => "pit",
            DefectKind::Corrosion => "corrosion",
            DefectKind::Erosion => "erosion",
            DefectKind::Bend => "bend",
            DefectKind::Crack => "crack",
            DefectKind::Lightning => "lightning",
            DefectKind::Strike => "strike",
            DefectKind::Overspeed => "overspeed",
            DefectKind::Other => "other",
        }
    }

    /// Never dressed in the field, whatever its size.
    ///
    /// Source: AC 43.13-1B ch. 8 sec. 4 for cracks (a transverse crack of any size rejects the blade; read in study cards
    /// that cite it) and for bends (never straighten a damaged propeller, par. 8-73c, read); strikes, lightning and
    /// overspeed by common practice, no source.
    pub const fn is_shop_only(self) -> bool {
        matches!(
            self,
            DefectKind::Bend | DefectKind::Crack | DefectKind::Lightning | DefectKind::Strike | DefectKind::Overspeed
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // AC 43.13-1B ch. 8 sec. 4 for cracks and bends; strikes, lightning, overspeed: common practice, no source.
    #[test]
    fn five_kinds_go_to_the_shop() {
        let shop: Vec<&str> = DefectKind::ALL.into_iter().filter(|k| k.is_shop_only()).map(DefectKind::word).collect();
        assert_eq!(shop, ["bend", "crack", "lightning", "strike", "overspeed"]);
    }
}
