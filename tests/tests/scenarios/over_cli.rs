//! The built command line; what it prints as JSON is read back as the messages of the contract.

use std::{
    io::Write as _,
    process::{Command, Output, Stdio},
};

use baybook_proto::v1 as pb;
use serde::de::DeserializeOwned;

mod towing;

use crate::{
    driver::{Answer, Checked, Driver, Refusal},
    house::{House, root},
    program::program,
};

/// Runs the program and returns how it ended.
pub fn run(arguments: &[&str], stdin: &str) -> Output {
    let mut command = Command::new(program());
    command.args(arguments).current_dir(root()).env("NO_COLOR", "1");
    for name in ["BAYBOOK_SERVER", "BAYBOOK_BOOK_FOLDER", "BAYBOOK_DATA_DIR", "BAYBOOK_UNITS", "BAYBOOK_AUTHOR"] {
        command.env_remove(name);
    }
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut input = child.stdin.take().expect("its input is a pipe");
    let text = stdin.to_owned();
    // A program that has read enough closes its end.
    let writer = std::thread::spawn(move || drop(input.write_all(text.as_bytes())));
    let output = child.wait_with_output().expect("the program ends");
    writer.join().expect("the input was written");
    output
}

pub struct OverCli {
    server: String,
}

impl OverCli {
    pub fn new(house: &House) -> Self {
        Self { server: house.address().to_string() }
    }

    /// Runs a command; the exit codes in `good` come with data.
    fn output(&self, arguments: &[&str], stdin: &str, good: &[i32]) -> Answer<String> {
        let all: Vec<&str> = arguments.iter().copied().chain(["--server", &self.server]).collect();
        let output = run(&all, stdin);
        let told = String::from_utf8(output.stderr).expect("it talks UTF-8");
        let exit = output.status.code().unwrap_or_else(|| panic!("{arguments:?} died: {told}"));
        // Bad usage ends like rows that could not be read, but without data.
        if good.contains(&exit) && (exit == 0 || !output.stdout.is_empty()) {
            return Ok(String::from_utf8(output.stdout).expect("it prints UTF-8"));
        }
        assert!(told.starts_with("error: "), "{arguments:?} ended with {exit} and told {told:?}");
        assert!(told.contains("\n  next   "), "{arguments:?} does not say what to do next: {told}");
        assert!(output.stdout.is_empty(), "{arguments:?} failed and printed data");
        Err(Refusal { exit, told })
    }

    pub fn json<T: DeserializeOwned>(&self, arguments: &[&str], stdin: &str) -> Answer<T> {
        let all: Vec<&str> = arguments.iter().copied().chain(["--format", "json"]).collect();
        Ok(message(&self.output(&all, stdin, &[0])?))
    }

    fn plan<T: DeserializeOwned>(&self, command: &str, plan: &pb::UpfitPlan) -> Answer<T> {
        self.json(&[command, "--plan", "-"], &text(plan))
    }
}

fn message<T: DeserializeOwned>(printed: &str) -> T {
    serde_json::from_str(printed).unwrap_or_else(|error| panic!("{error} in what was printed:\n{printed}"))
}

fn text<T: serde::Serialize>(message: &T) -> String {
    serde_json::to_string(message).expect("a message is JSON")
}

fn folder(kind: pb::EntryKind) -> Option<&'static str> {
    use pb::EntryKind as K;
    Some(match kind {
        K::Unspecified => return None,
        K::Vehicle => "vehicles",
        K::Receiver => "receivers",
        K::Bolt => "bolts",
        K::Nut => "nuts",
        K::Washer => "washers",
        K::Finish => "finishes",
        K::BallMount => "ballmounts",
        K::Ball => "balls",
        K::Coupler => "couplers",
        K::Trailer => "trailers",
        K::Circuit => "circuits",
        K::Wrench => "wrenches",
        K::Terrain => "terrains",
        K::Policy => "policies",
        K::BrakeLaw => "brakelaws",
        K::BedCoupling => "bedcouplings",
    })
}

/// Flags of a command line, in order.
#[derive(Default)]
pub struct Flags(Vec<String>);

impl Flags {
    pub fn add(&mut self, flag: &str, value: Option<String>) {
        if let Some(value) = value {
            self.0.extend([flag.to_owned(), value]);
        }
    }

    pub fn bolt(&mut self, bolt: Option<pb::BoltRef>) {
        match bolt.and_then(|bolt| bolt.bolt) {
            Some(pb::bolt_ref::Bolt::Name(name)) => self.add("--bolt", Some(name)),
            Some(pb::bolt_ref::Bolt::Spec(spec)) => {
                self.add("--thread", Some(spec.thread));
                self.add("--class", (!spec.property_class.is_empty()).then_some(spec.property_class));
            }
            None => {}
        }
    }

    pub fn nut(&mut self, nut: Option<pb::NutRef>) {
        let Some(pb::nut_ref::Nut::Name(name)) = nut.and_then(|nut| nut.nut) else { return };
        self.add("--nut", Some(name));
    }

    fn washer(&mut self, washer: Option<pb::WasherRef>) {
        let Some(pb::washer_ref::Washer::Name(name)) = washer.and_then(|washer| washer.washer) else { return };
        self.add("--washer", Some(name));
    }

    pub fn finish(&mut self, flag: &str, finish: Option<pb::FinishRef>) {
        let Some(pb::finish_ref::Finish::Name(name)) = finish.and_then(|finish| finish.finish) else { return };
        self.add(flag, Some(name));
    }

    pub fn wrench(&mut self, wrench: Option<pb::WrenchRef>) {
        let Some(pb::wrench_ref::Wrench::Name(name)) = wrench.and_then(|wrench| wrench.wrench) else { return };
        self.add("--wrench", Some(name));
    }

    pub fn torque(&mut self, flag: &str, torque: Option<pb::Torque>) {
        self.add(flag, torque.map(|torque| torque.printed));
    }

    pub fn answer(&mut self, flag: &str, answer: Option<bool>) {
        self.add(flag, answer.map(|answer| if answer { "yes" } else { "no" }.to_owned()));
    }

    pub fn run<T: DeserializeOwned>(&self, command: &str, driver: &OverCli) -> Answer<T> {
        let arguments: Vec<&str> = [command].into_iter().chain(self.0.iter().map(String::as_str)).collect();
        driver.json(&arguments, "")
    }
}

impl Driver for OverCli {
    fn get(&mut self, name: &str) -> Answer<pb::GetEntryResponse> {
        self.json(&["book", "get", name], "")
    }

    fn list(&mut self, kind: pb::EntryKind) -> Answer<pb::ListEntriesResponse> {
        let arguments: Vec<&str> = ["book", "list"].into_iter().chain(folder(kind)).collect();
        self.json(&arguments, "")
    }

    fn find(&mut self, words: &str) -> Answer<pb::FindEntriesResponse> {
        let arguments: Vec<&str> = ["book", "find"].into_iter().chain(words.split(' ')).collect();
        self.json(&arguments, "")
    }

    fn put(&mut self, request: pb::PutEntryRequest) -> Answer<pb::PutEntryResponse> {
        let (id, author) = (&request.request_id, &request.author);
        let mut arguments = vec!["book", "put", "-", "--request-id", id, "--author", author];
        arguments.extend(request.validate_only.then_some("--check-only"));
        self.json(&arguments, &text(&request.entry.expect("a scenario puts an entry")))
    }

    fn put_all(&mut self, request: pb::BatchPutEntriesRequest) -> Answer<pb::BatchPutEntriesResponse> {
        let (id, author) = (&request.request_id, &request.author);
        self.json(&["book", "put", "-", "--request-id", id, "--author", author], &text(&request.entries))
    }

    fn remove(&mut self, request: pb::RemoveEntryRequest) -> Answer<pb::RemoveEntryResponse> {
        let pb::RemoveEntryRequest { name, etag, request_id, author } = &request;
        self.json(&["book", "remove", name, "--etag", etag, "--request-id", request_id, "--author", author], "")
    }

    fn history(&mut self, name: &str) -> Answer<pb::EntryHistoryResponse> {
        self.json(&["book", "history", name], "")
    }

    fn import(&mut self, entries: Vec<pb::Entry>) -> Answer<pb::ImportEntriesResponse> {
        let lines: String = entries.iter().map(|entry| text(entry) + "\n").collect();
        // Entries that were not taken are part of the answer, and of the exit code.
        Ok(message(&self.output(&["book", "import", "-", "--format", "json"], &lines, &[0, 2])?))
    }

    fn export(&mut self) -> Answer<Vec<pb::Entry>> {
        let lines = self.output(&["book", "export"], "", &[0])?;
        Ok(lines.lines().map(message).collect())
    }

    fn adjust_torque(&mut self, request: pb::AdjustTorqueRequest) -> Answer<pb::AdjustTorqueResponse> {
        use pb::adjust_torque_request::Aim;
        let mut flags = Flags::default();
        flags.bolt(request.bolt.clone());
        flags.nut(request.nut.clone());
        flags.washer(request.washer.clone());
        flags.finish("--condition", request.condition.clone());
        flags.wrench(request.wrench.clone());
        match request.aim.clone() {
            Some(Aim::SpecifiedTorque(torque)) => flags.torque("--specified", Some(torque)),
            Some(Aim::ProofShare(share)) => flags.add("--proof-share", Some(format!("{} %", share * 100.0))),
            Some(Aim::YieldShare(share)) => flags.add("--yield-share", Some(format!("{} %", share * 100.0))),
            Some(Aim::Preload(force)) => flags.add("--preload", Some(force.printed)),
            None => {}
        }
        flags.finish("--specified-condition", request.specified_condition.clone());
        let method = match request.method() {
            pb::TighteningMethod::Unspecified => None,
            pb::TighteningMethod::Torque => Some("torque"),
            pb::TighteningMethod::TorqueAndAngle => Some("torque-and-angle"),
            pb::TighteningMethod::TorqueToYield => Some("torque-to-yield"),
        };
        flags.add("--method", method.map(str::to_owned));
        flags.add("--window", request.window_share.map(|share| format!("{} %", share * 100.0)));
        flags.add("--bolt-count", request.bolt_count.map(|count| count.to_string()));
        let pattern = match request.pattern() {
            pb::BoltPattern::Unspecified => None,
            pb::BoltPattern::Circle => Some("circle"),
            pb::BoltPattern::Row => Some("row"),
        };
        flags.add("--pattern", pattern.map(str::to_owned));
        flags.run("torque", self)
    }

    fn assess_torque(&mut self, request: pb::AssessTorqueRequest) -> Answer<pb::AssessTorqueResponse> {
        let mut flags = Flags::default();
        flags.bolt(request.bolt);
        flags.nut(request.nut);
        flags.washer(request.washer);
        flags.finish("--condition", request.condition);
        flags.torque("--applied", request.applied_torque);
        flags.answer("--reusable", request.reusable);
        flags.run("assess", self)
    }

    fn assess_joint(&mut self, request: pb::AssessJointRequest) -> Answer<pb::AssessJointResponse> {
        self.json(&["joint", "--request", "-"], &text(&request))
    }

    fn look_up_thread(&mut self, request: pb::LookUpThreadRequest) -> Answer<pb::LookUpThreadResponse> {
        let pb::LookUpThreadRequest { thread, property_class } = &request;
        let class = (!property_class.is_empty()).then_some(["--class", property_class]);
        let arguments: Vec<&str> = ["thread", thread].into_iter().chain(class.into_iter().flatten()).collect();
        self.json(&arguments, "")
    }

    fn rate(&mut self, plan: pb::UpfitPlan) -> Answer<pb::RateTowingResponse> {
        self.plan("rating", &plan)
    }

    fn axles(&mut self, plan: pb::UpfitPlan) -> Answer<pb::AxleLoadsResponse> {
        self.plan("axles", &plan)
    }

    fn axles_with(&mut self, request: pb::AxleLoadsRequest) -> Answer<pb::AxleLoadsResponse> {
        towing::axles(self, request)
    }

    fn check_vin(&mut self, request: pb::CheckVinRequest) -> Answer<pb::CheckVinResponse> {
        towing::vin(self, &request)
    }

    fn weigh_tongue(&mut self, request: pb::WeighTongueRequest) -> Answer<pb::WeighTongueResponse> {
        towing::tongue(self, request)
    }

    fn coupling_values(&mut self, request: pb::CouplingValuesRequest) -> Answer<pb::CouplingValuesResponse> {
        towing::coupling(self, request)
    }

    fn added_mass(&mut self, request: pb::AddedMassRequest) -> Answer<pb::AddedMassResponse> {
        towing::label(self, request)
    }

    fn turning(&mut self, plan: pb::UpfitPlan) -> Answer<pb::TurningResponse> {
        self.plan("turning", &plan)
    }

    fn clearances(&mut self, plan: pb::UpfitPlan) -> Answer<pb::ClearancesResponse> {
        self.plan("clearance", &plan)
    }

    fn roll_over(&mut self, plan: pb::UpfitPlan, terrain: &str) -> Answer<pb::RollOverResponse> {
        self.json(&["roll", "--plan", "-", "--terrain", terrain, "--margin", "25 mm"], &text(&plan))
    }

    fn size_circuit(&mut self, request: pb::SizeCircuitRequest) -> Answer<pb::SizeCircuitResponse> {
        use pb::circuit_ref::Circuit;
        let mut flags = Flags::default();
        match request.circuit.clone().and_then(|circuit| circuit.circuit) {
            Some(Circuit::Name(name)) => flags.add("--circuit", Some(name)),
            Some(Circuit::Spec(spec)) => flags.add("--wire", spec.awg_code.map(|gauge| format!("{gauge} AWG"))),
            None => {}
        }
        flags.add("--temperature", request.conductor_c.map(|celsius| format!("{celsius} C")));
        flags.add("--fill", request.fill_share.map(|share| format!("{} %", share * 100.0)));
        let system = |socket: pb::Socket| match socket {
            pb::Socket::Unspecified => None,
            other => Some(other.as_str_name().trim_start_matches("SOCKET_").to_lowercase().replace('_', "-")),
        };
        flags.add("--socket", system(request.socket()));
        flags.add("--plug", system(request.plug()));
        for answer in &request.routing {
            let said = if answer.good == Some(true) { "yes" } else { "no" };
            flags.add("--routing", Some(format!("{}={said}", answer.question)));
        }
        flags.run("circuit", self)
    }

    fn fit(&mut self, request: pb::FitReceiversRequest) -> Answer<pb::FitReceiversResponse> {
        let plan = text(&request.plan.unwrap_or_default());
        let (limit, page) = (request.page_size.to_string(), request.page_token.as_str());
        let mut arguments = vec!["fit", "--plan", "-", "--limit", &limit, "--page", page];
        arguments.extend(request.with_misfits.then_some("--misfits"));
        self.json(&arguments, &plan)
    }

    fn check(&mut self, plans: Vec<pb::UpfitPlan>) -> Answer<Checked> {
        let lines: String = plans.iter().map(|plan| text(plan) + "\n").collect();
        let printed = self.output(&["check", "-", "--show", "all", "--format", "json"], &lines, &[0, 2, 3])?;
        let reply: pb::CheckUpfitsResponse = message(&printed);
        let summary = reply.summary.expect("the output ends with the totals");
        Ok(Checked { results: reply.results, revision: reply.revision, summary })
    }

    fn rules(&mut self) -> Answer<pb::ListRulesResponse> {
        self.json(&["rules", "list"], "")
    }

    fn info(&mut self) -> Answer<pb::ServerInfoResponse> {
        self.json(&["info"], "")
    }
}
