use super::*;

fn rows(text: &[u8]) -> Vec<Row> {
    rows_with(text, &SheetOptions::default()).expect("the sheet opens")
}

fn rows_with(text: &[u8], options: &SheetOptions) -> Result<Vec<Row>, SheetError> {
    let mut sheet = Sheet::open(text, options)?;
    let mut reader = sheet.readers().make();
    let (mut rows, mut portion) = (Vec::new(), Portion::default());
    loop {
        sheet.cut(2, &mut portion)?;
        if portion.is_empty() {
            return Ok(rows);
        }
        reader.read(&portion, |row| rows.push(row));
    }
}

fn plan(row: &Row) -> &UpfitPlan {
    match row {
        Row::Plan { plan, .. } => plan,
        Row::Unreadable { cells, .. } => panic!("unreadable: {cells:?}"),
    }
}

fn bad(row: &Row) -> (i64, &[BadCell]) {
    match row {
        Row::Unreadable { line, cells, .. } => (*line, cells),
        Row::Plan { plan, .. } => panic!("readable: {plan:?}"),
    }
}

const PLAIN: &str =
    "unit,vehicle,trailer_mass,tongue_load (lb)\nV1,van-l35,2000 kg,463\nV2,vehicles/van-m30,\"4,400 lb\",1e\n";

#[test]
fn units_come_from_the_cell_or_from_the_heading() {
    let rows = rows(PLAIN.as_bytes());
    let first = plan(&rows[0]);
    assert_eq!(first.trailer_mass.as_ref().and_then(|mass| mass.value_kg), Some(2000.0));
    let Some(baybook_proto::v1::upfit_plan::Tongue::TongueLoad(tongue)) = &first.tongue else { panic!("no tongue") };
    assert_eq!(tongue.value_kg, Some(463.0 * 0.453_592_37));
    let (line, cells) = bad(&rows[1]);
    assert_eq!(line, 3);
    assert_eq!(cells.len(), 1);
    assert_eq!(cells[0].column, "tongue_load (lb)");
    assert_eq!(cells[0].read, "1e");
}

#[test]
fn a_spreadsheet_export_reads_the_same() {
    let semicolons = PLAIN
        .replace("\"4,400 lb\"", "4\u{a0}400 lb")
        .replace(',', ";")
        .replace('\n', "\r\n")
        .replace("4\u{a0}400", "4400");
    for text in [format!("\u{feff}{semicolons}"), format!("sep=;\r\n{semicolons}"), semicolons.replace(';', "\t")] {
        let rows = rows(text.as_bytes());
        assert_eq!(rows.len(), 2, "{text:?}");
        assert_eq!(plan(&rows[0]).unit, "V1");
    }
}

#[test]
fn quoted_new_lines_keep_the_line_count() {
    let text = "note,unit,vehicle\n\"two\nlines\",V1,van-l35\nx,V2,van l35\n";
    let rows = rows(text.as_bytes());
    assert_eq!(plan(&rows[0]).unit, "V1");
    let (line, cells) = bad(&rows[1]);
    assert_eq!(line, 4);
    assert_eq!(cells[0].column, "vehicle");
}

#[test]
fn a_bare_number_without_a_unit_is_refused() {
    let rows = rows(b"unit,vehicle,trailer_mass\nV1,van-l35,2000\n");
    let (_, cells) = bad(&rows[0]);
    assert!(cells[0].allowed.contains("kg"), "{cells:?}");
}

#[test]
fn a_sign_is_the_number_s_and_its_range_answers() {
    let rows = rows(b"unit,vehicle,trailer_mass (lb)\nV1,van-l35,-4\nV2,van-l35,+4\nV3,van-l35,-4 kg\n");
    let mass = |row| plan(row).trailer_mass.as_ref().and_then(|mass| mass.value_kg).unwrap();
    // A pound is 0.45359237 kg exactly.
    assert_eq!(mass(&rows[0]).to_bits(), (-4.0 * 0.453_592_37_f64).to_bits());
    assert_eq!(mass(&rows[1]).to_bits(), (4.0 * 0.453_592_37_f64).to_bits());
    assert_eq!(mass(&rows[2]).to_bits(), (-4.0_f64).to_bits());
}

#[test]
fn a_decimal_comma_is_refused_with_a_hint() {
    let rows = rows(b"unit;vehicle;trailer_mass (kg)\nV1;van-l35;2000,5\n");
    let (_, cells) = bad(&rows[0]);
    assert!(cells[0].allowed.contains("point"), "{cells:?}");
}

#[test]
fn every_bad_cell_of_a_row_is_named() {
    let rows = rows(b"unit,vehicle,trailer_mass,socket,spring_bars,tongue_share\nV1,Van L35,heavy,round,maybe,11\n");
    let (line, cells) = bad(&rows[0]);
    assert_eq!(line, 2);
    let columns: Vec<&str> = cells.iter().map(|cell| cell.column.as_str()).collect();
    assert_eq!(columns, ["vehicle", "trailer_mass", "socket", "spring_bars", "tongue_share"]);
}

#[test]
fn short_and_long_rows_are_reported_and_the_rest_goes_on() {
    let rows = rows(b"unit,vehicle\nV1\nV2,van-l35,extra\nV3,van-l35\nV4,van-l35,\n");
    assert_eq!(bad(&rows[0]).0, 2);
    assert_eq!(bad(&rows[1]).0, 3);
    assert_eq!(plan(&rows[2]).unit, "V3");
    assert_eq!(plan(&rows[3]).unit, "V4", "an empty cell too many is harmless");
}

#[test]
fn items_and_joints_repeat_by_name() {
    let text = "unit,vehicle,item.crew.mass (kg),item.crew.station (mm),item.rack.mass,item.rack.permanent,joint.frame.condition\n\
                V1,van-l35,150,1450,,,anti-seize\nV2,van-l35,,1450,18 kg,yes,\nV3,van-l35,?,1450,,,\n";
    let rows = rows(text.as_bytes());
    let first = plan(&rows[0]);
    assert_eq!(first.items.len(), 1);
    assert_eq!(first.items[0].label, "crew");
    assert_eq!(first.items[0].station_mm, Some(1450.0));
    assert_eq!(first.joints[0].id, "frame");
    let second = plan(&rows[1]);
    assert_eq!(second.items.len(), 1);
    assert!(second.items[0].permanent);
    assert!(second.joints.is_empty());
    let third = plan(&rows[2]);
    assert_eq!((third.items.len(), third.items[0].mass.clone()), (1, None), "an unknown mass is kept as unknown");
}

#[test]
fn unknown_columns_name_the_nearest_and_can_be_left_out() {
    let text = b"unit,vehicle,trailer_mas,Remarks\nV1,van-l35,2000 kg,x\n";
    let Err(SheetError::Header { line: 1, columns }) = rows_with(text, &SheetOptions::default()) else {
        panic!("opened")
    };
    assert_eq!(columns.len(), 2);
    assert!(columns[0].why.contains("`trailer_mass`"), "{columns:?}");
    let options = SheetOptions { skip_columns: vec!["remarks".to_owned(), "trailer_mas".to_owned()] };
    assert_eq!(rows_with(text, &options).expect("opens").len(), 1);
}

#[test]
fn what_is_not_a_sheet_is_refused() {
    for (bytes, word) in [
        (&b"PK\x03\x04rest"[..], "workbook"),
        (b"\xff\xfeu\0n\0", "UTF-16"),
        (b"", "empty"),
        (b"\xef\xbb\xbf  \n\n", "empty"),
        (b"unit,trailer\nV1,x\n", "vehicle"),
        (b"unit,vehicle,unit\n", "twice"),
        (b"unit,vehicle,trailer_mass (mm)\n", "unit of mass"),
        (b"unit,vehicle,item.crew\n", "item.NAME.mass"),
    ] {
        let error = match rows_with(bytes, &SheetOptions::default()) {
            Err(error) => error.to_string(),
            Ok(rows) => panic!("{bytes:?} opened: {rows:?}"),
        };
        assert!(error.contains(word), "{error}");
    }
}

#[test]
fn json_lines_are_plans_of_the_contract() {
    let text = "{\"unit\":\"V1\",\"vehicle\":{\"name\":\"vehicles/van-l35\"}}\n\n{\"unit\":3}\n";
    let rows = rows(text.as_bytes());
    assert_eq!(plan(&rows[0]).unit, "V1");
    assert_eq!(bad(&rows[1]).0, 3);
}

#[test]
fn an_unclosed_quote_is_named_and_bounded() {
    let mut text = b"unit,vehicle\nV0,van-l35\n\"V1,van-l35\n".to_vec();
    for row in 0..400_000 {
        text.extend_from_slice(format!("V{row},van-l35\n").as_bytes());
    }
    let rows = rows(&text);
    assert_eq!(plan(&rows[0]).unit, "V0");
    let (line, cells) = bad(&rows[1]);
    assert_eq!((line, rows.len()), (3, 2));
    assert!(cells[0].allowed.contains("quotation mark"), "{cells:?}");
}

#[test]
fn a_joint_keeps_the_name_that_the_sheet_writes() {
    let text = "Unit,Vehicle,Joint.frame-side.Torque (N·m),joint.Frame Side.Reused,item.Roof rack.mass (kg)\n\
                V1,van-l35,110,no,60\n";
    let rows = rows(text.as_bytes());
    let (joints, items) = (&plan(&rows[0]).joints, &plan(&rows[0]).items);
    assert_eq!((joints.len(), joints[0].id.as_str(), joints[0].bolt_reused), (1, "frame-side", Some(false)));
    assert_eq!(items[0].label, "Roof rack");
}

#[test]
fn the_work_of_a_row_is_typed_in_columns() {
    let text = "unit,vehicle,joint.frame-side.condition,work.today,work.person,work.wrench,work.released,\
                work.odometer_handover (km),work.odometer_now,reading.frame-side.1.torque (N·m),\
                reading.frame-side.1.taken_at,reading.frame-side.2.torque,reading.frame-side.2.taken_at,\
                reading.frame-side.2.person,reading.frame-side.2.wrench,reading.frame-side.2.recheck,\
                fitted.frame-side.bolt,fitted.frame-side.lot,follow_up.Re-check.due,follow_up.Re-check.done\n\
                V1,van-l35,zinc-dry,2026-11-26,R. Vance,click-200,yes,41000,\"25,500 mi\",110,2026-11-26T14:05:00Z,\
                75 lb-ft,2026-11-26T14:06:00Z,M. Solano,?,yes,m12-109-40,lot 12,2026-12-10,no\n\
                V2,van-l35,zinc-dry,2026-11-26,R. Vance,click-200,,,,,,,,,,no,,,,\n\
                V3,van-l35,zinc-dry,2026-11-26,R. Vance,click-200,?,,,?,,,,,,,,,,\n";
    let rows = rows(text.as_bytes());
    let work = plan(&rows[0]).work.as_ref().expect("a record");
    assert_eq!((work.today.as_str(), work.released), ("2026-11-26", Some(true)));
    // An international mile is 1.609344 km.
    assert_eq!((work.odometer_handover_km, work.odometer_now_km), (Some(41_000.0), Some(25_500.0 * 1.609_344)));
    let [first, second] = work.readings.as_slice() else { panic!("{:?}", work.readings) };
    assert_eq!((first.joint.as_str(), first.person.as_str(), first.recheck), ("frame-side", "R. Vance", false));
    assert_eq!(first.torque.as_ref().and_then(|torque| torque.value_n_m), Some(110.0));
    let usual = baybook_proto::v1::wrench_ref::Wrench::Name("wrenches/click-200".to_owned());
    assert_eq!(first.wrench.as_ref().and_then(|it| it.wrench.clone()), Some(usual));
    assert_eq!((second.joint.as_str(), second.person.as_str(), second.recheck), ("frame-side", "M. Solano", true));
    assert_eq!(
        (&second.wrench, second.taken_at.as_str()),
        (&None, "2026-11-26T14:06:00Z"),
        "nobody knows which wrench"
    );
    assert_eq!((work.fitted[0].joint.as_str(), work.fitted[0].lot.as_str()), ("frame-side", "lot 12"));
    assert!(work.fitted[0].bolt.is_some());
    let follow_up = &work.follow_ups[0];
    assert_eq!((follow_up.label.as_str(), follow_up.due.as_str(), follow_up.done), ("Re-check", "2026-12-10", false));
    assert_eq!(plan(&rows[1]).work, None, "who, with what and when alone is no work");
    let open = plan(&rows[2]).work.as_ref().expect("somebody began");
    assert_eq!((open.released, open.readings.len(), &open.readings[0].torque), (None, 1, &None));
}

#[test]
fn a_bad_cell_of_the_work_says_what_is_allowed() {
    let text = "unit,vehicle,work.odometer_now,reading.frame.torque,follow_up.wax.done\nV1,van-l35,41000,110,soon\n";
    let rows = rows(text.as_bytes());
    let (_, cells) = bad(&rows[0]);
    let columns: Vec<&str> = cells.iter().map(|cell| cell.column.as_str()).collect();
    assert_eq!(columns, ["work.odometer_now", "reading.frame.torque", "follow_up.wax.done"]);
    assert!(cells[0].allowed.contains("km") && cells[1].allowed.contains("N·m"), "{cells:?}");
    let Err(error) = rows_with(b"unit,vehicle,reading.frame\n", &SheetOptions::default()) else { panic!("opened") };
    assert!(error.to_string().contains("reading.NAME.torque"), "{error}");
}

mod any_bytes {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
            let _ = rows_with(&bytes, &SheetOptions::default());
        }

        #[test]
        fn never_panic_after_a_header(tail in "[^\\x00]{0,200}") {
            let text = format!("unit,vehicle,trailer_mass,tongue_share,joint.frame.torque,sale_state,reading.frame.1.torque,work.released\n{tail}");
            let rows = rows_with(text.as_bytes(), &SheetOptions::default()).expect("the header is fine");
            let lines: Vec<i64> = rows.iter().map(|row| match row { Row::Plan { line, .. } | Row::Unreadable { line, .. } => *line }).collect();
            prop_assert!(lines.windows(2).all(|pair| pair[0] < pair[1]));
        }
    }
}

#[test]
fn the_short_way_to_read_a_unit_gives_the_same_number() {
    let cells =
        ["1900 kg", "1901.5 kg", "4400 lb", "4401 lb", "0.1 lb", "7 lb", "2.5 t", "2.5t", "13 lb 4 oz", "14 lb"];
    let text =
        cells.iter().fold("unit,vehicle,trailer_mass\n".to_owned(), |text, cell| text + "V,van-l35," + cell + "\n");
    for (row, cell) in rows(text.as_bytes()).iter().zip(cells) {
        let long = baybook_core::units::text::read_mass(cell).expect("reads").kg();
        assert_eq!(plan(row).trailer_mass.as_ref().and_then(|mass| mass.value_kg), Some(long), "{cell}");
    }
}

#[test]
fn a_joint_may_say_how_it_is_built() {
    let text = "unit,vehicle,receiver,joint.frame-side.grip,joint.frame-side.washers,joint.frame-side.material,\
                joint.frame-side.coated,joint.frame-side.edge (mm)\nV1,van-l35,van-tuck,22 mm,1,s355,no,25\n\
                V2,van-l35,van-tuck,22,3,s355,maybe,25\n";
    let rows = rows(text.as_bytes());
    let stack = plan(&rows[0]).joints[0].stack.as_ref().expect("a stack");
    assert_eq!((stack.grip_mm, stack.washer_count, stack.coated), (Some(22.0), Some(1), Some(false)));
    assert_eq!((stack.head_material.as_str(), stack.nut_material.as_str()), ("s355", "s355"));
    assert_eq!(stack.edge_distance_mm, Some(25.0));
    let (_, cells) = bad(&rows[1]);
    let columns: Vec<&str> = cells.iter().map(|cell| cell.column.as_str()).collect();
    assert_eq!(columns, ["joint.frame-side.grip", "joint.frame-side.washers", "joint.frame-side.coated"]);
}

#[test]
fn a_joint_may_say_what_turns_it_and_what_was_used_before() {
    let text = "unit,vehicle,receiver,work_day,joint.frame-side.wrench,joint.frame-side.reused,\
                joint.frame-side.found_good,joint.frame-side.nut_reused,joint.frame-side.plate\n\
                V1,van-l35,van-tuck,2026-11-26,click-200,yes,yes,no,5 mm\nV2,van-l35,van-tuck,,,yes,no,,\n";
    let rows = rows(text.as_bytes());
    let (first, second) = (plan(&rows[0]), plan(&rows[1]));
    let joint = &first.joints[0];
    assert_eq!(first.work_day, "2026-11-26");
    let named = baybook_proto::v1::wrench_ref::Wrench::Name("wrenches/click-200".to_owned());
    assert_eq!(joint.wrench.as_ref().and_then(|it| it.wrench.clone()), Some(named));
    assert_eq!((joint.bolt_reused, joint.nut_reused), (Some(true), Some(false)));
    assert_eq!(joint.bolt_inspection.as_ref().and_then(|it| it.pitted), Some(false));
    assert_eq!(joint.stack.as_ref().and_then(|it| it.plate_thickness_mm), Some(5.0));
    // Not found good is no finding at all: the rules then ask what was found.
    assert_eq!((second.joints[0].bolt_reused, &second.joints[0].bolt_inspection), (Some(true), &None));
}
