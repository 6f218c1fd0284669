//! What a dimension that cannot be right looks like.

/// What a dimension that cannot be right looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LooksLike {
    /// Ten times too large.
    SlippedDecimal,
    /// Ten times too small.
    LostDecimal,
    /// A value in millimetres in an inch column.
    Millimetres,
    /// A value in thousandths in an inch column.
    Thousandths,
    /// Nothing in particular.
    Unclear,
}
