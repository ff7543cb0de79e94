//! The table of known units. Factors are exact by definition unless said otherwise
//! (BIPM SI Brochure, 9th edition; NIST SP 811, 2008, appendix B).

use crate::quantity::Quantity;

/// One unit symbol without its prefix.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Symbol {
    /// Plain symbol for files and JSON.
    pub(crate) ascii: &'static str,
    /// Symbol for screens and paper.
    pub(crate) shown: &'static str,
    /// Other spellings that people type.
    pub(crate) also: &'static [&'static str],
    pub(crate) quantity: Quantity,
    /// Base units in one of this unit.
    pub(crate) factor: f64,
    /// Value in base units where this unit reads zero.
    pub(crate) offset: f64,
    /// True where SI prefixes are taken.
    pub(crate) prefixes: bool,
    /// True for the unit that the base of the quantity is made of.
    pub(crate) base: bool,
}

const fn base(
    ascii: &'static str,
    shown: &'static str,
    also: &'static [&'static str],
    quantity: Quantity,
) -> Symbol {
    Symbol {
        ascii,
        shown,
        also,
        quantity,
        factor: 1.0,
        offset: 0.0,
        prefixes: true,
        base: true,
    }
}

const fn plain(symbol: Symbol) -> Symbol {
    Symbol { prefixes: false, ..symbol }
}

const fn other(symbol: Symbol, factor: f64) -> Symbol {
    Symbol { factor, base: false, ..plain(symbol) }
}

const fn shifted(symbol: Symbol, factor: f64, offset: f64) -> Symbol {
    Symbol { offset, ..other(symbol, factor) }
}

/// SI prefixes with their factors; `da` before `d`, which would hide it.
pub(crate) const PREFIXES: [(&str, f64); 11] = [
    ("da", 1e1),
    ("p", 1e-12),
    ("n", 1e-9),
    ("u", 1e-6),
    ("m", 1e-3),
    ("c", 1e-2),
    ("d", 1e-1),
    ("h", 1e2),
    ("k", 1e3),
    ("M", 1e6),
    ("G", 1e9),
];

use Quantity as Q;

/// Every known unit.
pub(crate) static TABLE: [Symbol; 47] = [
    base("ohm", "Ω", &["Ohm", "ohms", "Ohms"], Q::Resistance),
    base("V", "V", &["volt", "Volt"], Q::Voltage),
    base("A", "A", &["amp", "ampere"], Q::Current),
    base("W", "W", &["watt", "Watt"], Q::Power),
    other(base("hp", "hp", &[], Q::Power), 745.699_871_582_270_2),
    other(base("PS", "PS", &[], Q::Power), 735.498_75),
    base("Pa", "Pa", &[], Q::Pressure),
    Symbol { prefixes: true, ..other(base("bar", "bar", &[], Q::Pressure), 1e5) },
    // Pound-force a square inch from the exact pound, standard gravity and inch.
    other(base("psi", "psi", &["PSI", "lbf/in2"], Q::Pressure), 6_894.757_293_168_361),
    // Conventional millimetre and inch of mercury, SP 811.
    other(base("mmHg", "mmHg", &["Torr", "torr"], Q::Pressure), 133.322_4),
    other(base("inHg", "inHg", &[], Q::Pressure), 3_386.389),
    plain(base("C", "°C", &["degC", "celsius", "Celsius"], Q::Temperature)),
    shifted(base("K", "K", &["kelvin"], Q::Temperature), 1.0, -273.15),
    shifted(base("F", "°F", &["degF"], Q::Temperature), 5.0 / 9.0, -160.0 / 9.0),
    base("s", "s", &["sec", "second", "seconds"], Q::Time),
    other(base("min", "min", &["minute", "minutes"], Q::Time), 60.0),
    other(base("h", "h", &["hour", "hours", "hr"], Q::Time), 3_600.0),
    other(base("day", "d", &["days"], Q::Time), 86_400.0),
    base("m", "m", &["metre", "meter"], Q::Length),
    other(base("in", "in", &["inch", "\""], Q::Length), 0.025_4),
    other(base("ft", "ft", &["foot", "feet"], Q::Length), 0.304_8),
    other(base("mile", "mile", &["miles", "mi"], Q::Length), 1_609.344),
    base("N.m", "N·m", &["Nm", "N m", "N-m"], Q::Torque),
    other(
        base(
            "lb-ft",
            "lb-ft",
            &[
                "lbft", "lb.ft", "lb ft", "lbf-ft", "lbf.ft", "lbf ft", "ft-lb", "ft.lb",
                "ft lb", "ftlb",
            ],
            Q::Torque,
        ),
        crate::NM_PER_LBFT,
    ),
    other(
        base(
            "lb-in",
            "lb-in",
            &["lbin", "lb.in", "lbf-in", "lbf.in", "in-lb", "in.lb", "in lb", "inlb"],
            Q::Torque,
        ),
        crate::NM_PER_LBFT / 12.0,
    ),
    plain(base("deg", "°", &["degree", "degrees"], Q::Angle)),
    other(base("rad", "rad", &[], Q::Angle), 180.0 / std::f64::consts::PI),
    base("Hz", "Hz", &["hz"], Q::Frequency),
    Symbol {
        prefixes: true,
        ..other(base("g", "g", &["gram"], Q::Mass), 1e-3).into_base()
    },
    other(base("lb", "lb", &["lbs"], Q::Mass), 0.453_592_37),
    other(base("oz", "oz", &[], Q::Mass), 0.028_349_523_125),
    other(base("t", "t", &["tonne"], Q::Mass), 1e3),
    base("l", "l", &["L", "litre", "liter", "litres", "liters"], Q::Volume),
    other(base("cm3", "cm³", &["ccm", "cc"], Q::Volume), 1e-3),
    other(base("qt", "qt", &["quart"], Q::Volume), 0.946_352_946),
    other(base("gal", "gal", &["gallon"], Q::Volume), 3.785_411_784),
    plain(base("%", "%", &["percent", "pct"], Q::Ratio)),
    base("m/s", "m/s", &[], Q::Speed),
    other(base("km/h", "km/h", &["kmh", "kph"], Q::Speed), 1.0 / 3.6),
    other(base("mph", "mph", &["mile/h"], Q::Speed), 0.447_04),
    plain(base(
        "1/min",
        "1/min",
        &["rpm", "RPM", "/min", "min-1", "min^-1", "r/min", "rev/min", "U/min"],
        Q::RotationalSpeed,
    )),
    other(base("1/s", "1/s", &["/s", "rps"], Q::RotationalSpeed), 60.0),
    base("H", "H", &["henry"], Q::Inductance),
    base("N", "N", &["newton"], Q::Force),
    other(base("lbf", "lbf", &[], Q::Force), 4.448_221_615_260_5),
    other(base("deg/s", "°/s", &[], Q::RotationalSpeed), 1.0 / 6.0),
    Symbol { prefixes: false, ..other(base("ppm", "ppm", &[], Q::Ratio), 1e-4) },
];

impl Symbol {
    const fn into_base(self) -> Self {
        Self { base: true, ..self }
    }
}
