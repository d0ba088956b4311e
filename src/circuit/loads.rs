//! Loads: a current, a power or a resistance, whatever the voltage.

/// A load, or what is worked out like one, between two nodes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Drain {
    pub plus: usize,
    pub minus: usize,
    /// Amperes (`draws`) or watts (`takes`).
    pub amount: f64,
    /// Index of the item that it is.
    pub item: usize,
}

/// What a load that takes `watts` is taken for around the voltage `at`, where it was found last: the
/// current there, and the slope of that current (zero for a step without one).
pub(crate) fn around(watts: f64, at: f64, with_slope: bool) -> (f64, f64) {
    let amps = watts / at;
    (amps, if with_slope { -amps / at } else { 0.0 })
}

/// The least resistance that a load is given, ohms: under that, more than 1 kA flows in any case.
pub(crate) const LEAST_OHMS: f64 = 1e-6;
