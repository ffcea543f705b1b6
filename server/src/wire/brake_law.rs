//! Brake thresholds that a shop keeps in its book.

use std::sync::Arc;

use baybook_core::model::brake_law::BrakeLaw;
use baybook_proto::v1 as pb;

use super::{
    Fields, FromWire, Lookup, Spec,
    fields::{LABEL_MAX, NOTE_MAX},
    plan::is_jurisdiction,
    ranges,
};

impl FromWire for BrakeLaw {
    type Wire = pb::BrakeLaw;

    fn from_wire(wire: &pb::BrakeLaw, fields: &mut Fields) -> Option<Self> {
        let label = fields.text("label", &wire.label, LABEL_MAX);
        let place = wire.place.trim();
        if !is_jurisdiction(place) {
            fields.reject("place", "must be a country and, after a hyphen, its part, in capitals, such as US-OR");
        }
        fields.required("unbraked_to", wire.unbraked_to.as_ref());
        let unbraked_to = fields.mass("unbraked_to", wire.unbraked_to.as_ref(), &ranges::MASS);
        let source = fields.optional_text("source", &wire.source, NOTE_MAX);
        if source.is_none() {
            fields.reject("source", "is required: name the paragraph or the notice");
        }
        // Laws change: a row without a day is no row.
        let seen_on = fields.needed_day("seen_on", &wire.seen_on);
        Some(Self {
            name: String::new(),
            label,
            place: place.to_owned(),
            unbraked_to: unbraked_to?,
            source: source?,
            seen_on: seen_on?.to_string(),
        })
    }
}

/// Returns the id that the entry of a place has: `us-or`.
pub fn id_of(place: &str) -> String {
    place.to_ascii_lowercase()
}

/// Returns the book's row for a place, else for its country: `DE-BY`, then `DE`.
pub fn find(place: &str, lookup: &impl Lookup) -> Option<Arc<BrakeLaw>> {
    let of = |place: &str| match lookup.find(&format!("brakelaws/{}", id_of(place)))? {
        Spec::BrakeLaw(law) => Some(law),
        _ => None,
    };
    of(place).or_else(|| of(place.split_once('-')?.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::wire::fixture::{kg, paths};

    fn entry(name: &str, law: pb::BrakeLaw) -> pb::Entry {
        pb::Entry { name: name.to_owned(), spec: Some(pb::entry::Spec::BrakeLaw(law)), ..pb::Entry::default() }
    }

    fn law() -> pb::BrakeLaw {
        pb::BrakeLaw {
            label: "an invented place".to_owned(),
            place: "XA-1".to_owned(),
            unbraked_to: kg(900.0),
            source: "notice 7 of an invented place".to_owned(),
            seen_on: "2026-10-01".to_owned(),
        }
    }

    fn read(entry: &pb::Entry) -> Result<Spec, crate::wire::WireError> {
        let mut fields = Fields::default();
        let spec = Spec::from_entry(entry, &mut fields);
        fields.finish(spec)
    }

    /// A book of one row.
    struct One(Spec);

    impl Lookup for One {
        fn find(&self, name: &str) -> Option<Spec> {
            (self.0.name() == name).then(|| self.0.clone())
        }

        fn nearest(&self, _: &str) -> Vec<String> {
            Vec::new()
        }
    }

    #[test]
    fn a_row_is_found_by_its_place_and_its_country_falls_back() {
        let part = One(read(&entry("brakelaws/xa-1", law())).unwrap());
        assert!(find("XA-1", &part).is_some() && find("XA-2", &part).is_none() && find("XA", &part).is_none());
        let country = pb::BrakeLaw { place: "XA".to_owned(), ..law() };
        let country = One(read(&entry("brakelaws/xa", country)).unwrap());
        assert!(find("XA-1", &country).is_some() && find("XA", &country).is_some() && find("XB", &country).is_none());
    }

    #[test]
    fn a_row_says_where_and_when_and_is_named_after_its_place() {
        let error = read(&entry("brakelaws/xa-1", pb::BrakeLaw::default())).unwrap_err();
        let law_fields = ["brake_law.place", "brake_law.unbraked_to", "brake_law.source", "brake_law.seen_on"];
        assert_eq!(paths(&error), law_fields);
        let error = read(&entry("brakelaws/xb", law())).unwrap_err();
        assert_eq!(paths(&error), ["brake_law.place"]);
        let undated = pb::BrakeLaw { seen_on: "last year".to_owned(), ..law() };
        assert_eq!(paths(&read(&entry("brakelaws/xa-1", undated)).unwrap_err()), ["brake_law.seen_on"]);
    }
}
