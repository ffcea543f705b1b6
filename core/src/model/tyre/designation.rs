//! Reading a tyre designation: `235/65R16C 115/113R`, `LT245/75R17 121/118S`, `P235/75R15`, `31x10.50R15LT 109Q`.

use crate::{error::CalcError, model::tyre::TyreKind, units::Length};

/// The letters that stand before or behind the size and say which load table applies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Service {
    /// None: a plain metric size.
    Plain,
    /// `P`: passenger car.
    Passenger,
    /// `LT`, before the size or behind it: light truck.
    LightTruck,
    /// `C`, behind the size: commercial.
    Commercial,
    /// `ST`: trailer service.
    Trailer,
    /// `T`: temporary spare.
    TemporarySpare,
}

/// How the section is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Section {
    /// `235/65`: width in millimetres and aspect in per cent.
    Metric {
        /// Section width.
        width: Length,
        /// Section height over width, per cent.
        aspect: f64,
    },
    /// `31x10.50`: overall diameter and width in inches.
    Flotation {
        /// Overall diameter.
        diameter: Length,
        /// Section width.
        width: Length,
    },
}

/// What a tyre designation says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Designation {
    /// The letters of the service.
    pub service: Service,
    /// The section.
    pub section: Section,
    /// The rim's diameter code in inches.
    pub rim: Length,
    /// The load index, single fitment, when printed.
    pub load_index: Option<i32>,
    /// The load index, dual fitment, when printed.
    pub load_index_dual: Option<i32>,
    /// The speed symbol's letter, when printed.
    pub speed: Option<char>,
}

impl Designation {
    /// Reads a designation. Case and spaces between its parts do not matter.
    ///
    /// # Errors
    ///
    /// [`CalcError::Unreadable`] says what could not be read; [`CalcError::OutOfRange`] never occurs here.
    pub fn read(text: &str) -> Result<Self, CalcError> {
        parse(text).map_err(|why| CalcError::Unreadable {
            field: "designation",
            text: text.to_owned(),
            wanted: "a tyre designation",
            why: why.to_owned(),
            example: "235/65R16C 115/113R",
        })
    }

    /// Returns the overall diameter, unloaded: `D = 25.4 · rim + 2 · width · aspect / 100`.
    #[must_use]
    pub fn overall_diameter(&self) -> Length {
        match self.section {
            Section::Metric { width, aspect } => self.rim + width * (2.0 * aspect / 100.0),
            Section::Flotation { diameter, .. } => diameter,
        }
    }

    /// Returns the free radius, half the overall diameter.
    #[must_use]
    pub fn free_radius(&self) -> Length {
        self.overall_diameter() / 2.0
    }

    /// Returns what the tyre is made for, where the designation says so.
    ///
    /// A plain metric size does not: it may be a passenger-car or a light-truck tyre.
    #[must_use]
    pub const fn kind(&self) -> Option<TyreKind> {
        match self.service {
            Service::Passenger | Service::TemporarySpare => Some(TyreKind::PassengerCar),
            Service::LightTruck | Service::Commercial => Some(TyreKind::LightTruck),
            Service::Trailer => Some(TyreKind::Trailer),
            Service::Plain => None,
        }
    }
}

/// What is left of the text, read from the left.
struct Rest<'a>(&'a [u8]);

impl Rest<'_> {
    fn skip_spaces(&mut self) {
        while let [b' ' | b'\t', rest @ ..] = self.0 {
            self.0 = rest;
        }
    }

    /// Takes these letters, whatever their case.
    fn take(&mut self, letters: &[u8]) -> bool {
        match self.0.split_at_checked(letters.len()) {
            Some((head, rest)) if head.eq_ignore_ascii_case(letters) => {
                self.0 = rest;
                true
            }
            _ => false,
        }
    }

    /// Takes a plain number with at most one point.
    fn number(&mut self) -> Option<f64> {
        let (mut value, mut scale, mut digits, mut point) = (0.0_f64, 1.0_f64, 0, false);
        while let [byte, rest @ ..] = self.0 {
            match byte {
                b'0'..=b'9' if digits < 8 => {
                    value = value * 10.0 + f64::from(byte - b'0');
                    digits += 1;
                    if point {
                        scale *= 10.0;
                    }
                }
                b'.' if !point && digits > 0 => point = true,
                _ => break,
            }
            self.0 = rest;
        }
        (digits > 0).then_some(value / scale)
    }

    /// Takes a load index: two or three digits.
    fn index(&mut self) -> Option<i32> {
        let digits = self.0.iter().take_while(|byte| byte.is_ascii_digit()).count();
        let (head, rest) = self.0.split_at_checked(digits)?;
        if !(2..=3).contains(&digits) {
            return None;
        }
        self.0 = rest;
        Some(head.iter().fold(0, |value, byte| value * 10 + i32::from(byte - b'0')))
    }
}

fn within(value: f64, min: f64, max: f64, why: &'static str) -> Result<f64, &'static str> {
    if min <= value && value <= max { Ok(value) } else { Err(why) }
}

fn parse(text: &str) -> Result<Designation, &'static str> {
    let mut rest = Rest(text.trim().as_bytes());
    let mut service = if rest.take(b"LT") {
        Service::LightTruck
    } else if rest.take(b"ST") {
        Service::Trailer
    } else if rest.take(b"P") {
        Service::Passenger
    } else if rest.take(b"T") {
        Service::TemporarySpare
    } else {
        Service::Plain
    };
    rest.skip_spaces();
    let first = rest.number().ok_or("it does not begin with a width or a diameter")?;
    rest.skip_spaces();
    let section = if rest.take(b"/") {
        let width = within(first, 100.0, 500.0, "the width is not 100 to 500 mm")?;
        let aspect = rest.number().ok_or("there is no aspect ratio behind the slash")?;
        let aspect = within(aspect, 20.0, 100.0, "the aspect ratio is not 20 to 100")?;
        Section::Metric { width: Length::from_mm(width), aspect }
    } else if rest.take(b"x") || rest.take("×".as_bytes()) {
        let diameter = within(first, 15.0, 60.0, "the diameter is not 15 to 60 in")?;
        let width = rest.number().ok_or("there is no width behind the x")?;
        let width = within(width, 4.0, 20.0, "the width is not 4 to 20 in")?;
        Section::Flotation { diameter: Length::from_in(diameter), width: Length::from_in(width) }
    } else {
        return Err("there is neither a slash nor an x behind its first number");
    };
    rest.skip_spaces();
    let construction = rest.take(b"ZR") || rest.take(b"R") || rest.take(b"D") || rest.take(b"B") || rest.take(b"-");
    if !construction {
        return Err("there is no R, D, B or dash before the rim");
    }
    rest.skip_spaces();
    let rim = rest.number().ok_or("there is no rim diameter")?;
    let rim = Length::from_in(within(rim, 8.0, 30.0, "the rim is not 8 to 30 in")?);
    if rest.take(b"LT") {
        service = Service::LightTruck;
    } else if rest.take(b"C") {
        service = Service::Commercial;
    }
    rest.skip_spaces();
    let (mut load_index, mut load_index_dual, mut speed) = (None, None, None);
    if !rest.0.is_empty() {
        load_index = Some(rest.index().ok_or("what follows the rim is not a load index")?);
        if rest.take(b"/") {
            load_index_dual = Some(rest.index().ok_or("what follows the slash is not a load index")?);
        }
        rest.skip_spaces();
        if let [letter, tail @ ..] = rest.0 {
            if !letter.is_ascii_alphabetic() {
                return Err("what follows the load index is not a speed symbol");
            }
            speed = Some(char::from(letter.to_ascii_uppercase()));
            rest.0 = tail;
            // The digit of the symbols A1 to A8.
            if speed == Some('A') && matches!(rest.0, [b'1'..=b'8', ..]) {
                rest.0 = rest.0.get(1..).unwrap_or_default();
            }
        }
        rest.skip_spaces();
    }
    if rest.0.is_empty() {
        Ok(Designation { service, section, rim, load_index, load_index_dual, speed })
    } else {
        Err("something unreadable follows")
    }
}
