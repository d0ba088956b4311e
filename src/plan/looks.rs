//! What the words for colours look like on a screen. A word for a colour is no measurement: what is shown is near enough to
//! tell one from the other.
//!
//! - Insulation: IEC 60757 gives words and no figures. The figures are those of the same words in CSS Color Module Level 4
//!   (W3C), section 6.1; for what CSS has no word for, common practice: bare enamel as copper (`#b87333`), green-and-yellow
//!   as what lies between the two (CSS `yellowgreen`).
//! - White light: that of a black body of 3000 K (warm) and 6500 K, both nominal temperatures of white lamps after
//!   ANSI C78.377 (from memory), worked out in [`light`].
//! - Other light: pure colours of the screen, common practice; what no eye sees (ultraviolet, infrared) as the end of the
//!   spectrum that it lies beyond.

mod light;

pub use light::black_body;

/// A colour of the screen: red, green and blue of sRGB (IEC 61966-2-1), from 0 to 1.
pub type Rgb = [f64; 3];

/// What has a colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// What covers a wire.
    Wire,
    /// A light.
    Light,
}

/// What a word for a colour looks like; `None` for a word that the language does not know.
pub fn rgb(of: Of, word: &str) -> Option<Rgb> {
    let hex = match (of, word) {
        (Of::Light, "white") => return Some(black_body(6500.0)),
        (Of::Light, "warm-white") => return Some(black_body(3000.0)),
        (Of::Light, "red") => 0xff0000,
        (Of::Light, "amber") => 0xffbf00,
        (Of::Light, "yellow") => 0xffff00,
        (Of::Light, "green") => 0x00ff00,
        (Of::Light, "blue") => 0x0000ff,
        (Of::Light, "uv") => 0x7f00ff,
        (Of::Light, "infrared") => 0x8b0000,
        (Of::Wire, "black") => 0x000000,
        (Of::Wire, "brown") => 0xa52a2a,
        (Of::Wire, "red") => 0xff0000,
        (Of::Wire, "orange") => 0xffa500,
        (Of::Wire, "yellow") => 0xffff00,
        (Of::Wire, "green") => 0x008000,
        (Of::Wire, "blue") => 0x0000ff,
        (Of::Wire, "violet") => 0xee82ee,
        (Of::Wire, "grey") => 0x808080,
        (Of::Wire, "white") => 0xffffff,
        (Of::Wire, "pink") => 0xffc0cb,
        (Of::Wire, "turquoise") => 0x40e0d0,
        (Of::Wire, "gold") => 0xffd700,
        (Of::Wire, "silver") => 0xc0c0c0,
        (Of::Wire, "green-and-yellow") => 0x9acd32,
        (Of::Wire, "natural") => 0xb87333,
        _ => return None,
    };
    Some([16, 8, 0].map(|shift| f64::from((hex >> shift) & 0xff_u32) / 255.0))
}

/// A part of light as a part of a colour: IEC 61966-2-1.
pub fn encoded(part: f64) -> f64 {
    match part <= 0.003_130_8 {
        true => part * 12.92,
        false => 1.055 * libm::pow(part, 1.0 / 2.4) - 0.055,
    }
}
