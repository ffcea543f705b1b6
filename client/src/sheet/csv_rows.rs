//! Rows of a fleet sheet written as separated values.

use std::{cell::Cell, io::Read, rc::Rc};

use baybook_proto::v1 as pb;

use super::{
    BATCH_BYTES, BadCell, Row, SheetError, SheetOptions, Source,
    cells::{self, Value},
    columns::{Column, Field, Header},
};

/// How many bytes are read in search of the end of one row; a quotation mark that is never closed would otherwise
/// swallow the file. The reader looks ahead by its buffer, which this has to exceed.
const ROW_BYTES: usize = 1024 * 1024;
/// How far the reader looks ahead.
const BUFFER_BYTES: usize = 256 * 1024;

/// Stops the search for the end of a row at [`ROW_BYTES`].
struct Bounded<R> {
    from: R,
    since_row: Rc<Cell<usize>>,
}

impl<R: Read> Read for Bounded<R> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        if ROW_BYTES < self.since_row.get() {
            return Err(std::io::Error::from(std::io::ErrorKind::FileTooLarge));
        }
        let read = self.from.read(into)?;
        self.since_row.set(self.since_row.get() + read);
        Ok(read)
    }
}

/// Reads plans row by row.
pub struct CsvRows<R: Read> {
    reader: csv::Reader<Bounded<Source<R>>>,
    since_row: Rc<Cell<usize>>,
    record: csv::ByteRecord,
    header: Header,
    /// The units that each column's cells are written in.
    units: Vec<cells::Units>,
    /// The last cell of each column and what it meant: sheets repeat themselves from row to row.
    last: Vec<(Vec<u8>, Option<Value>)>,
    lines_skipped: i64,
    /// The line of the last row. Rows are numbered by line, and a sheet whose lines end in a lone carriage return
    /// would number them all alike: each row is at least one line on.
    last_line: i64,
    ended: bool,
}

impl<R: Read> CsvRows<R> {
    /// Reads the header.
    pub fn new(from: Source<R>, delimiter: u8, lines_skipped: i64, options: &SheetOptions) -> Result<Self, SheetError> {
        let since_row = Rc::new(Cell::new(0));
        let from = Bounded { from, since_row: Rc::clone(&since_row) };
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter)
            .flexible(true)
            .has_headers(false)
            .buffer_capacity(BUFFER_BYTES)
            .from_reader(from);
        let mut record = csv::ByteRecord::new();
        if !reader.read_byte_record(&mut record).map_err(into_io)? {
            return Err(SheetError::Empty);
        }
        let headings: Vec<String> = record.iter().map(|cell| String::from_utf8_lossy(cell).into_owned()).collect();
        let line = lines_skipped + line_of(&record);
        let header =
            Header::read(&headings, &options.skip_columns).map_err(|columns| SheetError::Header { line, columns })?;
        let factor = |column: &Column| column.unit.as_ref().and_then(|unit| cells::unit_factor(column.kind, unit).ok());
        let units = header.columns.iter().map(|column| cells::Units::new(column.as_ref().and_then(factor))).collect();
        let last = header.columns.iter().map(|_| (Vec::new(), None)).collect();
        Ok(Self { reader, since_row, record, header, units, last, lines_skipped, last_line: line, ended: false })
    }

    /// Reads up to `most` rows.
    pub fn read_rows(&mut self, most: usize, rows: &mut Vec<Row>) -> Result<(), SheetError> {
        let wanted = rows.len() + most;
        let mut bytes = 0;
        while rows.len() < wanted && bytes < BATCH_BYTES && !self.ended {
            self.since_row.set(0);
            let line = self.lines_skipped + i64::try_from(self.reader.position().line()).unwrap_or(i64::MAX);
            match self.reader.read_byte_record(&mut self.record).map_err(into_io) {
                Ok(true) => {}
                Ok(false) => {
                    self.ended = true;
                    break;
                }
                Err(SheetError::Io(error)) if error.kind() == std::io::ErrorKind::FileTooLarge => {
                    self.ended = true;
                    rows.push(endless(line));
                    break;
                }
                Err(error) => return Err(error),
            }
            if self.record.iter().all(|cell| cell.trim_ascii().is_empty()) {
                continue;
            }
            bytes += self.record.as_slice().len();
            rows.push(self.row());
        }
        Ok(())
    }

    fn row(&mut self) -> Row {
        let line = (self.lines_skipped + line_of(&self.record)).max(self.last_line + 1);
        self.last_line = line;
        let mut draft = Draft::new(&self.header);
        let mut bad = Vec::new();
        let (have, want) = (self.record.len(), self.header.columns.len());
        let extra = self.record.iter().skip(want).any(|cell| !cell.trim_ascii().is_empty());
        if have < want || extra {
            bad.push(BadCell {
                column: "row".to_owned(),
                read: format!("{have} cells"),
                allowed: format!(
                    "{want} cells, as the header has; a separator or a quotation mark is missing or too many"
                ),
            });
        }
        for (index, column) in self.header.columns.iter().enumerate() {
            let (Some(column), Some(cell)) = (column, self.record.get(index)) else { continue };
            let (Some((last, value)), Some(units)) = (self.last.get_mut(index), self.units.get_mut(index)) else {
                continue;
            };
            if last != cell {
                match read_cell(column, units, cell) {
                    Ok(read) => {
                        last.clear();
                        last.extend_from_slice(cell);
                        *value = read;
                    }
                    Err(cell) => {
                        bad.push(cell);
                        continue;
                    }
                }
            }
            if let Some(value) = value {
                draft.set(column.field, value);
            }
        }
        if bad.is_empty() {
            Row::Plan { line, plan: Box::new(draft.finish()) }
        } else {
            Row::Unreadable { line, unit: draft.plan.unit, cells: bad }
        }
    }
}

fn endless(line: i64) -> Row {
    let cell = BadCell {
        column: "row".to_owned(),
        read: format!("more than {ROW_BYTES} bytes without an end"),
        allowed: "a row that ends; a quotation mark was opened and never closed. Nothing after it was read".to_owned(),
    };
    Row::Unreadable { line, unit: String::new(), cells: vec![cell] }
}

fn read_cell(column: &Column, units: &mut cells::Units, cell: &[u8]) -> Result<Option<Value>, BadCell> {
    let text = std::str::from_utf8(cell).map_err(|_| BadCell {
        column: column.heading.clone(),
        read: String::from_utf8_lossy(cell).into_owned(),
        allowed: "UTF-8 text; save the sheet as CSV in UTF-8".to_owned(),
    })?;
    cells::read(column.kind, units, text).map_err(|allowed| BadCell {
        column: column.heading.clone(),
        read: text.trim().to_owned(),
        allowed,
    })
}

fn line_of(record: &csv::ByteRecord) -> i64 {
    record.position().map_or(0, |position| i64::try_from(position.line()).unwrap_or(i64::MAX))
}

fn into_io(error: csv::Error) -> SheetError {
    match error.into_kind() {
        csv::ErrorKind::Io(error) => SheetError::Io(error),
        other => SheetError::Io(std::io::Error::other(format!("{other:?}"))),
    }
}

/// A plan being put together from the cells of one row.
struct Draft<'a> {
    plan: pb::UpfitPlan,
    header: &'a Header,
    items: Vec<pb::LoadItem>,
    joints: Vec<pb::PlannedJoint>,
}

impl<'a> Draft<'a> {
    fn new(header: &'a Header) -> Self {
        Self {
            plan: pb::UpfitPlan::default(),
            header,
            items: vec![pb::LoadItem::default(); header.items.len()],
            joints: vec![pb::PlannedJoint::default(); header.joints.len()],
        }
    }

    fn set(&mut self, field: Field, value: &Value) {
        match value {
            Value::Text(text) => self.set_text(field, text.clone()),
            Value::Number(number) => self.set_number(field, *number),
            Value::Flag(flag) => self.set_flag(field, *flag),
            Value::Choice(choice) => match field {
                Field::ModelYear => self.plan.model_year = Some(*choice),
                Field::SaleState => self.plan.sale_state = *choice,
                Field::ChainRule => self.plan.chain_rule = *choice,
                Field::Socket => self.plan.socket = *choice,
                _ => {}
            },
            // Absent and unknown are one thing in a plan, except for an item: it rides along with a mass nobody knows.
            Value::Unknown => {
                if let Field::ItemMass(at) = field {
                    self.item(at, |item| item.mass = Some(pb::Mass::default()));
                }
            }
        }
    }

    fn set_text(&mut self, field: Field, text: String) {
        let plan = &mut self.plan;
        match field {
            Field::Unit => plan.unit = text,
            Field::Vin => plan.vin = text,
            Field::Jurisdiction => plan.jurisdiction = text,
            Field::Vehicle => {
                plan.vehicle = Some(pb::VehicleRef { vehicle: Some(pb::vehicle_ref::Vehicle::Name(text)) })
            }
            Field::Receiver => plan.receiver = Some(receiver(text)),
            Field::ReplacedReceiver => plan.replaced_receiver = Some(receiver(text)),
            Field::BallMount => {
                plan.ball_mount =
                    Some(pb::BallMountRef { ball_mount: Some(pb::ball_mount_ref::BallMount::Name(text)) });
            }
            Field::Ball => plan.ball = Some(pb::BallRef { ball: Some(pb::ball_ref::Ball::Name(text)) }),
            Field::Coupler => {
                plan.coupler = Some(pb::CouplerRef { coupler: Some(pb::coupler_ref::Coupler::Name(text)) })
            }
            Field::Trailer => {
                plan.trailer = Some(pb::TrailerRef { trailer: Some(pb::trailer_ref::Trailer::Name(text)) })
            }
            Field::Policy => plan.policy = Some(pb::PolicyRef { policy: Some(pb::policy_ref::Policy::Name(text)) }),
            Field::JointBolt(at) => {
                self.joint(at, |joint| joint.bolt = Some(pb::BoltRef { bolt: Some(pb::bolt_ref::Bolt::Name(text)) }));
            }
            Field::JointNut(at) => {
                self.joint(at, |joint| joint.nut = Some(pb::NutRef { nut: Some(pb::nut_ref::Nut::Name(text)) }));
            }
            Field::JointWasher(at) => self.joint(at, |joint| {
                joint.washer = Some(pb::WasherRef { washer: Some(pb::washer_ref::Washer::Name(text)) });
            }),
            Field::JointCondition(at) => self.joint(at, |joint| {
                joint.finish = Some(pb::FinishRef { finish: Some(pb::finish_ref::Finish::Name(text)) });
            }),
            _ => {}
        }
    }

    fn set_number(&mut self, field: Field, number: f64) {
        let mass = || Some(pb::Mass { value_kg: Some(number), printed: String::new() });
        let plan = &mut self.plan;
        match field {
            Field::TrailerMass => plan.trailer_mass = mass(),
            Field::TongueLoad => {
                plan.tongue = mass().map(pb::upfit_plan::Tongue::TongueLoad);
            }
            Field::TongueShare => plan.tongue = Some(pb::upfit_plan::Tongue::TongueShare(number)),
            Field::MassAddedBefore => plan.mass_added_before_kg = Some(number),
            Field::MassRemoved => plan.mass_removed_kg = Some(number),
            Field::ExtensionTrailer => extension(plan).rating.get_or_insert_default().trailer = mass(),
            Field::ExtensionTongue => extension(plan).rating.get_or_insert_default().tongue = mass(),
            Field::ExtensionLength => extension(plan).length_mm = Some(number),
            Field::LimitApproach => limits(plan).approach_min_deg = Some(number),
            Field::LimitDeparture => limits(plan).departure_min_deg = Some(number),
            Field::LimitDepartureLaden => limits(plan).departure_laden_min_deg = Some(number),
            Field::LimitRamp => limits(plan).ramp_min_deg = Some(number),
            Field::LimitHitchHeight => limits(plan).hitch_height_min_mm = Some(number),
            Field::LimitTongueShareMin => limits(plan).tongue_min_share = Some(number),
            Field::LimitTongueShareMax => limits(plan).tongue_max_share = Some(number),
            Field::LimitLevelTolerance => limits(plan).level_tolerance_mm = Some(number),
            Field::OwnGvwr => own(plan).gvwr = mass(),
            Field::OwnGcwr => own(plan).gcwr = mass(),
            Field::OwnFrontGawr => own(plan).front_gawr = mass(),
            Field::OwnRearGawr => own(plan).rear_gawr = mass(),
            Field::OwnFrontKerb => own(plan).front_kerb_kg = Some(number),
            Field::OwnRearKerb => own(plan).rear_kerb_kg = Some(number),
            Field::OwnTrailerGvwr => own(plan).trailer_gvwr = mass(),
            Field::OwnCouplerHeight => own(plan).coupler_height_level_mm = Some(number),
            Field::ItemMass(at) => self.item(at, |item| item.mass = mass()),
            Field::ItemStation(at) => self.item(at, |item| item.station_mm = Some(number)),
            Field::JointTorque(at) => {
                let torque = pb::Torque { value_n_m: Some(number), printed: String::new() };
                self.joint(at, |joint| joint.planned_torque = Some(torque));
            }
            _ => {}
        }
    }

    fn set_flag(&mut self, field: Field, flag: bool) {
        let plan = &mut self.plan;
        match field {
            Field::SpringBars => plan.spring_bars = Some(flag),
            Field::BrakeController => plan.brake_controller = Some(flag),
            Field::Converter => plan.converter = Some(flag),
            Field::AnswerMakerPoints => answers(plan).maker_points_used = Some(flag),
            Field::AnswerNearFuel => answers(plan).near_fuel = Some(flag),
            Field::AnswerGuardRemoved => answers(plan).guard_removed = Some(flag),
            Field::AnswerLampHidden => answers(plan).lamp_hidden = Some(flag),
            Field::AnswerRust => answers(plan).rust_at_mounts = Some(flag),
            Field::AnswerRecall => answers(plan).recall_open = Some(flag),
            Field::AnswerCaptiveNut => answers(plan).captive_nut_loose = Some(flag),
            Field::AnswerChains => answers(plan).chains_on_ball_mount = Some(flag),
            Field::AnswerRaisesGvwr => answers(plan).raises_gvwr = Some(flag),
            Field::AnswerMassLabel => answers(plan).mass_label_planned = Some(flag),
            Field::AnswerAltererLabel => answers(plan).alterer_label_planned = Some(flag),
            Field::AnswerBeyond => answers(plan).beyond_readily_attachable = Some(flag),
            Field::JointReused(at) => self.joint(at, |joint| joint.bolt_reused = Some(flag)),
            Field::ItemPermanent(at) => self.item(at, |item| item.permanent = flag),
            _ => {}
        }
    }

    fn item(&mut self, at: usize, set: impl FnOnce(&mut pb::LoadItem)) {
        if let (Some(item), Some(label)) = (self.items.get_mut(at), self.header.items.get(at)) {
            if item.label.is_empty() {
                item.label.clone_from(label);
            }
            set(item);
        }
    }

    fn joint(&mut self, at: usize, set: impl FnOnce(&mut pb::PlannedJoint)) {
        if let (Some(joint), Some(id)) = (self.joints.get_mut(at), self.header.joints.get(at)) {
            if joint.id.is_empty() {
                joint.id.clone_from(id);
            }
            set(joint);
        }
    }

    /// Leaves out the items and joints that this row says nothing of.
    ///
    /// An item rides along once its mass cell is filled: a sheet may carry the station on every row.
    fn finish(mut self) -> pb::UpfitPlan {
        self.items.retain(|item| item.mass.is_some());
        for item in &mut self.items {
            item.mass.take_if(|mass| *mass == pb::Mass::default());
        }
        self.joints.retain(|joint| !joint.id.is_empty());
        self.plan.items = self.items;
        self.plan.joints = self.joints;
        self.plan
    }
}

fn receiver(name: String) -> pb::ReceiverRef {
    pb::ReceiverRef { receiver: Some(pb::receiver_ref::Receiver::Name(name)) }
}

fn limits(plan: &mut pb::UpfitPlan) -> &mut pb::Limits {
    plan.limits.get_or_insert_default()
}

fn own(plan: &mut pb::UpfitPlan) -> &mut pb::UnitFigures {
    plan.unit_figures.get_or_insert_default()
}

fn answers(plan: &mut pb::UpfitPlan) -> &mut pb::Answers {
    plan.answers.get_or_insert_default()
}

fn extension(plan: &mut pb::UpfitPlan) -> &mut pb::Extension {
    plan.extension.get_or_insert_default()
}
