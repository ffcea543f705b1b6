//! The routing checklist: what somebody who looked has answered, and what nobody has.

use crate::{
    error::CalcError,
    tables::routing::{HAZARDS, Hazard, hazard},
};

/// What comes of the answers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Routing {
    /// Answered with no.
    pub wrong: Vec<&'static Hazard>,
    /// Not answered, which is not the same as right.
    pub unknown: Vec<&'static Hazard>,
}

impl Routing {
    /// Returns whether all is right: `None` while something is unanswered and nothing is wrong.
    #[must_use]
    pub fn good(&self) -> Option<bool> {
        match (self.wrong.is_empty(), self.unknown.is_empty()) {
            (false, _) => Some(false),
            (true, true) => Some(true),
            (true, false) => None,
        }
    }
}

/// Sorts the answers. A question answered twice counts as wrong when either answer is no.
///
/// # Errors
///
/// [`CalcError::NoSuchRow`] for an answer to a question that the list does not hold.
pub fn routing(answers: &[(&str, bool)]) -> Result<Routing, CalcError> {
    for (id, _) in answers {
        if hazard(id).is_none() {
            return Err(CalcError::NoSuchRow {
                field: "routing",
                key: (*id).to_owned(),
                table: "the routing checklist",
                rows: HAZARDS.map(|hazard| hazard.id).join(", "),
            });
        }
    }
    let (mut wrong, mut unknown) = (Vec::new(), Vec::new());
    for hazard in &HAZARDS {
        let mut given = answers.iter().filter(|answer| answer.0 == hazard.id).peekable();
        if given.peek().is_none() {
            unknown.push(hazard);
        } else if given.any(|answer| !answer.1) {
            wrong.push(hazard);
        }
    }
    Ok(Routing { wrong, unknown })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unanswered_is_not_right() {
        assert_eq!(routing(&[]).unwrap().good(), None);
        let all: Vec<_> = HAZARDS.iter().map(|hazard| (hazard.id, true)).collect();
        assert_eq!(routing(&all).unwrap().good(), Some(true));
        assert_eq!(routing(&[("grommets", false)]).unwrap().good(), Some(false));
        assert_eq!(routing(&[("grommets", true), ("grommets", false)]).unwrap().wrong.len(), 1);
        assert_eq!(routing(&[("gromets", true)]).unwrap_err().field(), "routing");
    }

    #[test]
    fn every_question_has_its_own_name_and_is_a_question() {
        for (index, one) in HAZARDS.iter().enumerate() {
            assert!(one.question.ends_with('?'), "{}", one.id);
            assert!(HAZARDS.iter().skip(index + 1).all(|other| other.id != one.id), "{}", one.id);
        }
    }
}
