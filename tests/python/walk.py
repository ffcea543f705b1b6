"""Walks every call of a running service with a gRPC client that knows nothing of it but what reflection tells.

    python tests/python/walk.py 127.0.0.1:7460 deploy/demo/book target/debug/baybook [127.0.0.1:7461]

The book of the service must be empty. Each call of each service is made at least once so that it succeeds and at least
once so that it is refused; a call that was left out fails the walk. The demo's sheet is read here, checked over the wire,
and must come out as the program says of the same file: verdict, rules and totals of every plan. With the address of the
admin port, what is measured there is read as OpenMetrics text, and compared with what was called.
"""

import hashlib
import json
import pathlib
import subprocess
import sys
import urllib.request

import grpc
from google.protobuf import descriptor_pb2, descriptor_pool, json_format, message_factory
from google.rpc import error_details_pb2
from grpc_health.v1 import health_pb2, health_pb2_grpc
from grpc_reflection.v1alpha import reflection_pb2
from grpc_status import rpc_status
from prometheus_client.openmetrics.parser import text_string_to_metric_families

import fleet

PACKAGE = "baybook.v1."
# The messages of the first published reflection service and of its alpha are the same; only the name differs.
REFLECTION = "/grpc.reflection.v1.ServerReflection/ServerReflectionInfo"
DEADLINE = 20


class Wrong(Exception):
    """Something is not as the contract promises."""


def hold(condition, told):
    if not condition:
        raise Wrong(told)


def about(one, other, tolerance=1e-9):
    return abs(one - other) <= tolerance


class Service:
    """What reflection tells of a service, and the calls that were made of it."""

    def __init__(self, channel):
        self.channel = channel
        self.pool = descriptor_pool.DescriptorPool()
        self.known = set()
        self.methods = {}
        self.done = {}
        self.services = self._services()
        for service in self.services:
            if service.startswith(PACKAGE):
                self._learn_symbol(service)
                for method in self.pool.FindServiceByName(service).methods:
                    self.methods[f"{service}/{method.name}"] = method
        for method in self.methods:
            self.done[method] = {"answered": 0, "refused": 0}

    def _ask(self, **question):
        call = self.channel.stream_stream(
            REFLECTION,
            request_serializer=reflection_pb2.ServerReflectionRequest.SerializeToString,
            response_deserializer=reflection_pb2.ServerReflectionResponse.FromString,
        )
        answers = list(call(iter([reflection_pb2.ServerReflectionRequest(**question)]), timeout=DEADLINE))
        hold(len(answers) == 1, f"reflection answered {len(answers)} times to {question}")
        hold(not answers[0].HasField("error_response"), f"reflection: {answers[0].error_response} to {question}")
        return answers[0]

    def _services(self):
        return sorted(one.name for one in self._ask(list_services="").list_services_response.service)

    def _learn_symbol(self, symbol):
        self._learn(self._ask(file_containing_symbol=symbol))

    def _learn(self, answer):
        files = [
            descriptor_pb2.FileDescriptorProto.FromString(file)
            for file in answer.file_descriptor_response.file_descriptor_proto
        ]
        for file in files:
            if file.name in self.known:
                continue
            self.known.add(file.name)
            for needed in file.dependency:
                if needed not in self.known:
                    self._learn(self._ask(file_by_filename=needed))
            self.pool.Add(file)

    def message(self, name, fields=None):
        kind = message_factory.GetMessageClass(self.pool.FindMessageTypeByName(PACKAGE + name))
        return json_format.ParseDict(fields or {}, kind(), descriptor_pool=self.pool)

    def enum(self, name, value):
        return self.pool.FindEnumTypeByName(PACKAGE + name).values_by_name[value].number

    def _start(self, method, requests, raw):
        known = self.methods[PACKAGE + method]
        if raw:
            write = bytes
        else:
            write = message_factory.GetMessageClass(known.input_type).SerializeToString
        read = message_factory.GetMessageClass(known.output_type).FromString
        kind = {
            (False, False): self.channel.unary_unary,
            (False, True): self.channel.unary_stream,
            (True, False): self.channel.stream_unary,
            (True, True): self.channel.stream_stream,
        }[known.client_streaming, known.server_streaming]
        call = kind(f"/{PACKAGE}{method}", request_serializer=write, response_deserializer=read)
        reply = call(iter(requests) if known.client_streaming else requests[0], timeout=DEADLINE)
        return list(reply) if known.server_streaming else reply

    def _requests(self, method, requests):
        kind = self.methods[PACKAGE + method].input_type.name
        return [self.message(kind, request) if isinstance(request, dict) else request for request in requests]

    def answer(self, method, *requests):
        """Makes a call that must succeed; a stream of answers comes back as a list."""
        try:
            reply = self._start(method, self._requests(method, requests or ({},)), raw=False)
        except grpc.RpcError as error:
            raise Wrong(f"{method} was refused: {error.code().name}: {error.details()}") from error
        self.done[PACKAGE + method]["answered"] += 1
        return reply

    def refuse(self, method, *requests, code, reason, fields=(), told=(), metadata=()):
        """Makes a call that must be refused, and reads why: every refusal says what, where and why."""
        raw = any(isinstance(request, bytes) for request in requests)
        try:
            sent = list(requests) if raw else self._requests(method, requests or ({},))
            reply = self._start(method, sent, raw)
        except grpc.RpcError as error:
            self.done[PACKAGE + method]["refused"] += 1
            return read_refusal(method, error, code, reason, fields, told, metadata)
        raise Wrong(f"{method} should have been refused with {code.name}, and answered {str(reply)[:400]}")

    def left_out(self):
        return [
            f"{method} was never {what}"
            for method, counts in sorted(self.done.items())
            for what, count in counts.items()
            if count == 0
        ]


def read_refusal(method, error, code, reason, fields, told, metadata):
    where = f"{method}: {error.code().name}: {error.details()}"
    hold(error.code() == code, f"{where}\n  expected {code.name}")
    hold(error.details(), f"{where}\n  there is no message")
    status = rpc_status.from_call(error)
    hold(status is not None, f"{where}\n  there are no details")
    info, violations = None, {}
    for detail in status.details:
        if detail.Is(error_details_pb2.ErrorInfo.DESCRIPTOR):
            info = error_details_pb2.ErrorInfo()
            detail.Unpack(info)
        if detail.Is(error_details_pb2.BadRequest.DESCRIPTOR):
            bad = error_details_pb2.BadRequest()
            detail.Unpack(bad)
            violations.update({one.field: one.description for one in bad.field_violations})
    hold(info is not None, f"{where}\n  there is no ErrorInfo")
    hold(info.domain == "baybook.v1", f"{where}\n  the domain is {info.domain!r}")
    hold(info.reason == reason, f"{where}\n  the reason is {info.reason}, not {reason}")
    for key in metadata:
        hold(info.metadata.get(key), f"{where}\n  its metadata {dict(info.metadata)} lack {key}")
    for field in fields:
        hold(violations.get(field), f"{where}\n  {field} is not among the fields at fault: {sorted(violations)}")
    everything = " ".join([error.details(), *violations.values(), *info.metadata.values()])
    for part in told:
        hold(part in everything, f"{where}\n  does not tell {part!r}: {everything}")
    return info


def entry(name, kind, spec, **more):
    return {"name": name, kind: spec, **more}


def by_name(kind, name):
    return {kind: {"name": f"{kind_folder(kind)}/{name}"}}


def kind_folder(kind):
    return {"ball_mount": "ballmounts", "bolt": "bolts"}.get(kind, kind + "s")


def plan(**more):
    fields = {
        "unit": "V-101",
        **by_name("vehicle", "van-l35"),
        **by_name("receiver", "van-tuck"),
        **by_name("ball_mount", "two-in-drop-4"),
        **by_name("ball", "two-in-6000"),
        **by_name("trailer", "flatbed-2t"),
        "trailer_mass": {"value_kg": 1500},
        "tongue_load": {"value_kg": 160},
        "items": [{"label": "crew", "mass": {"printed": "375 lb"}, "station_mm": 1400}],
        "jurisdiction": "US-TX",
    }
    return {**fields, **more}


INVALID = grpc.StatusCode.INVALID_ARGUMENT
NOT_FOUND = grpc.StatusCode.NOT_FOUND
BOLT = {"name": "bolts/m12-88-40"}
ZINC, OILED = {"name": "finishes/zinc-dry"}, {"name": "finishes/oiled"}


def walk_book(service, demo):
    half = len(demo) // 2
    # The service must cope with any order of entries that refer to each other.
    backwards = list(reversed(demo))
    reply = service.answer(
        "SpecBookService/ImportEntries",
        {"entries": backwards[:half], "author": "R. Vance"},
        {"entries": backwards[half:]},
    )
    hold(reply.error_count == 0, f"the demo's book was not taken: {reply.errors}")
    hold(reply.created_count == len(demo), f"{reply.created_count} of {len(demo)} entries are new")
    spoilt = service.answer("SpecBookService/ImportEntries", {"entries": [entry("nuts/a", "nut", {"thread": "M0"})]})
    hold(spoilt.error_count == 1 and spoilt.errors[0].name == "nuts/a", f"the spoilt entry: {spoilt}")
    hold(spoilt.errors[0].error.violations, f"it is not told why the spoilt entry was not taken: {spoilt}")
    service.refuse(
        "SpecBookService/ImportEntries",
        {"entries": demo[:1], "author": "x" * 500},
        code=INVALID,
        reason="BAD_FIELDS",
        fields=["author"],
        told=["100"],
    )

    streamed = service.answer("SpecBookService/ExportEntries")
    exported = [one for message in streamed for one in message.entries]
    hold([one.name for one in exported] == sorted(one["name"] for one in demo), "the export is not by name order")
    lines = "".join(f"{one.name} {one.revision}\n" for one in exported)
    digest = hashlib.sha256(lines.encode()).hexdigest()
    hold(streamed[-1].digest == digest, f"the export's digest is {streamed[-1].digest}, ours {digest}")
    for sent in demo:
        got = next(one for one in exported if one.name == sent["name"])
        spec = got.WhichOneof("spec")
        hold(spec in sent, f"{got.name} came back as {spec}")
        want = service.message("Entry", {"name": sent["name"], spec: sent[spec]})
        hold(getattr(got, spec) == getattr(want, spec), f"{got.name} came back changed")
    messages = [{"entries": [json_format.MessageToDict(one, preserving_proto_field_name=True)]} for one in exported]
    again = service.answer("SpecBookService/ImportEntries", *messages)
    hold(again.unchanged_count == len(demo), f"importing the export changed something: {again}")
    ahead = dict(code=grpc.StatusCode.OUT_OF_RANGE, reason="REVISION_AHEAD", metadata=["min_revision", "revision"])
    service.refuse("SpecBookService/ExportEntries", {"min_revision": "9000000"}, **ahead)

    told = service.answer("SpecBookService/WatchBook", {"snapshot": True, "until_caught_up": True})
    watched = [one for message in told for one in message.entries.entries]
    hold([one.name for one in watched] == [one.name for one in exported], "a snapshot is not the export")
    marker = next(message.snapshot_end for message in told if message.WhichOneof("event") == "snapshot_end")
    hold((marker.digest, marker.entry_count) == (digest, len(demo)), f"the end of the snapshot says {marker}")
    hold(told[-1].bookmark.cursor == marker.cursor, f"nothing changed, and the bookmark is {told[-1]}")
    newer = {"entries": [{**demo[0], "note": "watched"}]}
    revision = service.answer("SpecBookService/ImportEntries", newer).revision
    told = service.answer("SpecBookService/WatchBook", {"cursor": marker.cursor, "until_caught_up": True})
    commits = [one for message in told for one in message.commits.commits]
    hold([one.revision for one in commits] == [revision], f"one commit after the snapshot, and {commits} was told")
    hold([one.name for one in commits[0].changes] == [demo[0]["name"]], f"the commit changed {commits[0].changes}")
    hold(commits[0].changes[0].entry.note == "watched", f"the entry after the change is {commits[0].changes}")
    old = [{**demo[0], "etag": "*"}]
    service.answer("SpecBookService/ImportEntries", {"entries": old})
    bad_cursor = dict(code=INVALID, reason="BAD_FIELDS", fields=["cursor"])
    service.refuse("SpecBookService/WatchBook", {"cursor": "nonsense"}, **bad_cursor)

    got = service.answer("SpecBookService/GetEntry", {"name": "vehicles/van-l35"})
    hold(got.entry.vehicle.wheelbase_mm == 3640, f"the van's wheelbase is {got.entry.vehicle.wheelbase_mm}")
    hold(got.entry.author == "R. Vance" and got.entry.etag, f"author and etag of {got.entry.name}")
    missing = dict(code=NOT_FOUND, reason="ENTRY_NOT_FOUND", metadata=["name", "nearest"], told=["vehicles/van-l35"])
    service.refuse("SpecBookService/GetEntry", {"name": "vehicles/van-l36"}, **missing)
    service.refuse("SpecBookService/GetEntry", {"name": "van l36"}, code=INVALID, reason="BAD_FIELDS", fields=["name"])
    service.refuse("SpecBookService/GetEntry", {"name": "vehicles/van-l35", "min_revision": "9000000"}, **ahead)

    names = ["balls/fifty-mm", "vehicles/van-l35", "balls/fifty-mm"]
    several = service.answer("SpecBookService/BatchGetEntries", {"names": names})
    hold([one.name for one in several.entries] == names, "entries come in the order asked")
    missing = dict(code=NOT_FOUND, reason="ENTRY_NOT_FOUND", told=["balls/fifty-m"])
    service.refuse("SpecBookService/BatchGetEntries", {"names": ["balls/fifty-mm", "balls/fifty-m"]}, **missing)

    listed, token, revisions = [], "", set()
    while True:
        page = service.answer("SpecBookService/ListEntries", {"page_size": 9, "page_token": token})
        hold(len(page.entries) <= 9, f"a page of {len(page.entries)}")
        listed += [one.name for one in page.entries]
        revisions.add(page.revision)
        token = page.next_page_token
        if not token:
            break
    hold(listed == sorted(one["name"] for one in demo), "the pages together are not the book")
    hold(len(revisions) == 1, f"the pages read {len(revisions)} revisions")
    bad_token = dict(code=INVALID, reason="BAD_FIELDS", fields=["page_token"])
    service.refuse("SpecBookService/ListEntries", {"page_token": "nonsense"}, **bad_token)
    bad_size = dict(code=INVALID, reason="BAD_FIELDS", fields=["page_size"], told=["1000"])
    service.refuse("SpecBookService/ListEntries", {"page_size": -1}, **bad_size)

    found = service.answer("SpecBookService/FindEntries", {"words": "TUCK van"})
    hold(found.entries[0].name == "receivers/van-tuck", f"found {[one.name for one in found.entries]}")
    service.refuse("SpecBookService/FindEntries", {"words": " "}, code=INVALID, reason="BAD_FIELDS", fields=["words"])


def walk_changes(service):
    nut = {"thread": "M12", "property_class": "8", "kind": "NUT_KIND_REGULAR"}
    request = {"entry": entry("nuts/walk", "nut", {"label": "as bought", **nut}), "request_id": "walk-1", "author": "A"}
    checked = service.answer("SpecBookService/PutEntry", {**request, "request_id": "", "validate_only": True})
    hold(not checked.entry.etag, "a check sets no etag")
    first = service.answer("SpecBookService/PutEntry", request)
    retried = service.answer("SpecBookService/PutEntry", request)
    hold(first == retried, "a retry gets the first answer")
    other = {**request, "entry": entry("nuts/walk", "nut", {"label": "other", **nut})}
    reused = dict(code=INVALID, reason="REQUEST_ID_REUSED", metadata=["request_id"], told=["walk-1"])
    service.refuse("SpecBookService/PutEntry", other, **reused)
    exists = dict(code=grpc.StatusCode.ALREADY_EXISTS, reason="ENTRY_EXISTS", metadata=["name", "etag"])
    service.refuse("SpecBookService/PutEntry", {"entry": other["entry"]}, **exists)
    etag = first.entry.etag
    second = service.answer("SpecBookService/PutEntry", {"entry": {**other["entry"], "etag": etag}})
    hold(second.revision > first.revision and second.entry.etag != etag, "a change has a new revision and etag")
    stale = dict(code=grpc.StatusCode.ABORTED, reason="STALE_ETAG", metadata=["name", "etag", "changed"], told=["label"])
    service.refuse("SpecBookService/PutEntry", {"entry": {**other["entry"], "etag": etag}}, **stale)
    wrong = {"thread": "M12x", "property_class": "7.7", "height_mm": -3, "prevailing_torque": {"printed": "5 mm"}}
    service.refuse(
        "SpecBookService/PutEntry",
        {"entry": entry("nuts/wrong", "nut", wrong)},
        code=INVALID,
        reason="BAD_FIELDS",
        metadata=["count", "first_field"],
        fields=["entry.nut.thread", "entry.nut.property_class", "entry.nut.height_mm", "entry.nut.prevailing_torque.printed"],
    )
    for number in ("NaN", "Infinity", "-Infinity"):
        spoilt = {"entry": entry("nuts/wrong", "nut", {"height_mm": number, **nut})}
        bad_height = dict(code=INVALID, reason="BAD_FIELDS", fields=["entry.nut.height_mm"])
        service.refuse("SpecBookService/PutEntry", spoilt, **bad_height)

    two = [entry(f"nuts/walk-{at}", "nut", nut) for at in (1, 2)]
    both = service.answer("SpecBookService/BatchPutEntries", {"entries": two})
    hold({one.revision for one in both.entries} == {both.revision}, "a batch is one commit")
    spoilt = [entry("nuts/walk-3", "nut", nut), entry("nuts/walk-4", "nut", {**nut, "height_mm": 1e9})]
    bad_second = dict(code=INVALID, reason="BAD_FIELDS", fields=["entries[1].nut.height_mm"])
    service.refuse("SpecBookService/BatchPutEntries", {"entries": spoilt}, **bad_second)
    service.refuse("SpecBookService/GetEntry", {"name": "nuts/walk-3"}, code=NOT_FOUND, reason="ENTRY_NOT_FOUND")
    dangling = {"entries": [entry("trailers/walk", "trailer", {"coupler": "couplers/nowhere"})]}
    bad_coupler = dict(code=INVALID, reason="BAD_FIELDS", fields=["entries[0].trailer.coupler"], told=["couplers/nowhere"])
    service.refuse("SpecBookService/BatchPutEntries", dangling, **bad_coupler)

    service.refuse("SpecBookService/RemoveEntry", {"name": "nuts/walk"}, code=INVALID, reason="BAD_FIELDS", fields=["etag"])
    in_use = dict(code=grpc.StatusCode.FAILED_PRECONDITION, reason="ENTRY_IN_USE", metadata=["name", "used_by"])
    service.refuse("SpecBookService/RemoveEntry", {"name": "couplers/two-in-5000", "etag": "*"}, **in_use)
    for name in ("nuts/walk", "nuts/walk-1", "nuts/walk-2"):
        removed = service.answer("SpecBookService/RemoveEntry", {"name": name, "etag": "*"})
        hold(removed.revision > second.revision, f"removing {name} is a change")

    history = service.answer("SpecBookService/EntryHistory", {"name": "nuts/walk"})
    hold(len(history.changes) == 3, f"put, put, removed: {len(history.changes)} changes")
    hold(not history.changes[0].HasField("entry"), "the newest change is the removal")
    hold(any("label" in line for line in history.changes[1].differences), f"{history.changes[1].differences}")
    newest = service.answer("SpecBookService/EntryHistory", {"name": "nuts/walk", "page_size": 1})
    hold(newest.changes[0] == history.changes[0] and newest.next_page_token, "a page of one change")
    service.refuse("SpecBookService/EntryHistory", {"name": "nuts/never"}, code=NOT_FOUND, reason="ENTRY_NOT_FOUND")


def walk_calculator(service):
    joint = {"bolt": BOLT, "nut": {"name": "nuts/m12-8"}}
    maker = {"specified_torque": {"printed": "79 N·m"}, "specified_condition": ZINC, "window_share": 0.1}
    question = {**joint, **maker, "method": "TIGHTENING_METHOD_TORQUE", "condition": ZINC}
    same = service.answer("CalculatorService/AdjustTorque", question)
    oiled = service.answer("CalculatorService/AdjustTorque", {**question, "condition": OILED})
    hold(about(same.setting.target_n_m, 79), f"in its own condition 79 N·m stay {same.setting.target_n_m}")
    hold(oiled.setting.target_n_m < 79, f"oiled, 79 N·m become {oiled.setting.target_n_m}")
    hold(oiled.basis and all(one.source for one in oiled.basis), "every basis names its source")
    bad_joint = dict(code=INVALID, reason="BAD_FIELDS", fields=["bolt", "condition", "window_share"])
    service.refuse("CalculatorService/AdjustTorque", **bad_joint)

    applied = {**joint, "condition": OILED, "reusable": True}
    gentle = service.answer("CalculatorService/AssessTorque", {**applied, "applied_torque": {"value_n_m": 20}})
    brutal = service.answer("CalculatorService/AssessTorque", {**applied, "applied_torque": {"printed": "220 lb-ft"}})
    hold(gentle.state == service.enum("PreloadState", "PRELOAD_STATE_OK"), f"20 N·m: {gentle.state}")
    hold(brutal.state > service.enum("PreloadState", "PRELOAD_STATE_PROOF_EXCEEDED"), f"220 lb-ft: {brutal.state}")
    bad_joint = dict(code=INVALID, reason="BAD_FIELDS", fields=["bolt", "condition", "applied_torque", "reusable"])
    service.refuse("CalculatorService/AssessTorque", **bad_joint)

    stack = {**joint, "plates": [{"label": "rail", "thickness_mm": 5, "hole_diameter_mm": 13.5, "material": "s355"}]}
    stack["tightening"] = {"torque": {"printed": "79 N·m"}, "condition": ZINC, "window_share": 0.1}
    stack["loads"] = {"per_bolt": {"tension": {"printed": "4 kN"}, "shear": {"value_n": 500}}}
    held = service.answer("CalculatorService/AssessJoint", stack)
    uses = [one.use_share for one in held.items]
    hold(uses and uses == sorted(uses, reverse=True), f"the governing item is first: {uses}")
    hold(held.unknown and held.state != service.enum("JointState", "JOINT_STATE_HOLDS"), "an unknown never holds")
    hold(held.preload.min_n < held.preload.nominal_n < held.preload.max_n, f"{held.preload}")
    bad_joint = dict(code=INVALID, reason="BAD_FIELDS", fields=["bolt", "tightening", "loads"])
    service.refuse("CalculatorService/AssessJoint", **bad_joint)

    # ISO 898-1:2013, tables 4 and 5 (from memory of the standard): M12 of class 8.8 has 84.3 mm² and 48.9 kN.
    thread = service.answer("CalculatorService/LookUpThread", {"thread": "M12", "property_class": "8.8"})
    hold(about(thread.stress_area_mm2, 84.3, 0.05), f"M12 has {thread.stress_area_mm2} mm²")
    hold(about(thread.proof_load_n, 48_900, 50), f"M12 of 8.8 has a proof load of {thread.proof_load_n} N")
    bad_thread = dict(code=INVALID, reason="BAD_FIELDS", fields=["thread", "property_class"])
    service.refuse("CalculatorService/LookUpThread", {"thread": "M12x1,75", "property_class": "9.8.7"}, **bad_thread)

    walk_hardware(service)
    rating = service.answer("CalculatorService/RateTowing", {"plan": plan()})
    hold(about(rating.trailer.planned_kg, 1500) and rating.trailer.governing, f"{rating.trailer}")
    limits = [one.limit_kg for one in rating.trailer.links if one.HasField("limit_kg")]
    hold(about(rating.trailer.limit_kg, min(limits)), f"the weakest of {limits} is {rating.trailer.limit_kg}")
    hold(all(one.holds for one in rating.part_fits) and rating.brakes.source, f"{rating.part_fits} {rating.brakes}")
    unknown = dict(code=NOT_FOUND, reason="ENTRY_NOT_FOUND", told=["receivers/van-tuck"], metadata=["nearest"])
    service.refuse("CalculatorService/RateTowing", {"plan": plan(**by_name("receiver", "van-tuk"))}, **unknown)

    loads = service.answer("CalculatorService/AxleLoads", {"plan": plan()})
    carried = loads.front_kg + loads.rear_kg
    hold(2590 < carried < 2690, f"kerb mass, crew, gear and tongue come to {carried} kg")
    barred = service.answer("CalculatorService/AxleLoads", {"plan": plan(), "spring_bars": {"restoration_share": 1}})
    hold(about(barred.spring_bars.front_kg, loads.front_before_kg), f"all is given back: {barred.spring_bars}")
    half_said = dict(code=INVALID, reason="BAD_FIELDS", fields=["spring_bars"])
    service.refuse("CalculatorService/AxleLoads", {"plan": plan(), "spring_bars": {"bar_length_mm": 750}}, **half_said)
    spoilt = plan(trailer_mass={"value_kg": -1}, items=[{"label": "crew", "mass": {"printed": "170 mm"}}])
    bad_plan = dict(code=INVALID, reason="BAD_FIELDS", fields=["plan.trailer_mass.value_kg", "plan.items[0].mass.printed"])
    service.refuse("CalculatorService/AxleLoads", {"plan": spoilt}, **bad_plan)

    gaps = service.answer("CalculatorService/Clearances", {"plan": plan(), "tape_uncertainty_mm": 3})
    laden = [one for one in gaps.states if one.laden]
    hold(laden and all(0 < one.departure.angle_deg < 90 for one in laden), f"{gaps.states}")
    drawn = service.answer("CalculatorService/Clearances", {"plan": plan(), "drawing": True})
    hold(drawn.drawing_svg.startswith("<svg") and not gaps.drawing_svg, "a drawing only when it is asked for")
    service.refuse("CalculatorService/Clearances", code=INVALID, reason="BAD_FIELDS", fields=["plan"])
    walk_roll_over(service)
    walk_turning(service)


def walk_roll_over(service):
    ramp = {"name": "terrains/north-depot-ramp"}
    cargo = {"label": "cargo", "mass": {"value_kg": 400}, "station_mm": 3300}
    swap = plan(**{"replaced_receiver": {"name": "receivers/van-low"}})
    swap["items"] = [*swap["items"], cargo]
    rolled = service.answer("CalculatorService/RollOver", {"plan": swap, "terrain": ramp, "margin_mm": 25})
    states = {(one.laden, one.gear, one.way): one for one in rolled.states}
    hold(len(states) == len(rolled.states) >= 10, f"each state is rolled both ways once: {rolled.states}")
    hold(any(one.laden for one in rolled.states) and rolled.swaps, f"empty, laden, before and after: {rolled}")
    # The belly over the crest of a 15 % ramp: 65.3987 mm, as worked for this van.
    bare = next(one for one in rolled.states if not one.laden)
    hold(about(bare.least.gap_mm, 65.3987, 0.01) and bare.least.part == "belly", f"{bare.least}")
    hold(all(one.after_gap_mm >= one.before_gap_mm - 0.2 for one in rolled.swaps), f"the tucked one is no worse: {rolled.swaps}")
    point = {"label": "belly", "station_mm": 1820, "height_mm": 200}
    flat = {"label": "flat", "points": [{"run_mm": 0, "rise_mm": 0}, {"run_mm": 900, "rise_mm": 0}]}
    profile = {
        "profile": {"points": [point], "join": "PROFILE_JOIN_SEPARATE_POINTS"},
        "wheelbase_mm": 3640,
        "front_loaded_radius_mm": 345,
        "rear_loaded_radius_mm": 345,
    }
    level = service.answer("CalculatorService/RollOver", {"profile": profile, "terrain": {"spec": flat}})
    hold(all(about(one.least.gap_mm, 200) for one in level.states), f"on level ground the gap is the height: {level}")
    bad = dict(code=INVALID, reason="BAD_FIELDS", fields=["plan", "terrain"])
    service.refuse("CalculatorService/RollOver", **bad)
    wall = {"points": [{"run_mm": 0, "rise_mm": 0}, {"run_mm": 1, "rise_mm": 5000}]}
    steep = dict(code=INVALID, reason="BAD_FIELDS", fields=["terrain"], told=["45"])
    service.refuse("CalculatorService/RollOver", {"profile": profile, "terrain": {"spec": wall}}, **steep)

    bare = {key: value for key, value in plan().items() if key != "receiver"}
    ranked = service.answer("CalculatorService/FitReceivers", {"plan": bare, "with_misfits": True})
    hold(ranked.candidate_count == len(ranked.fits) > 5, f"{len(ranked.fits)} of {ranked.candidate_count}")
    hold(ranked.fits[0].suits == service.enum("Suits", "SUITS_YES") and ranked.fits[0].governing, f"{ranked.fits[0]}")
    spoilt = {"plan": {key: value for key, value in plan().items() if key != "trailer_mass"}}
    fields = ["plan.receiver", "plan.trailer_mass"]
    service.refuse("CalculatorService/FitReceivers", spoilt, code=INVALID, reason="BAD_FIELDS", fields=fields)

    # Worked example, derived: four magnets of 3.2 ohm side by side, 15 m of 12 AWG in the loop at 20 C, 12 V.
    magnets = {"circuit": {"name": "circuits/magnets-12awg"}, "socket": "SOCKET_SEVEN_WAY_LIGHT"}
    sized = service.answer("CalculatorService/SizeCircuit", magnets)
    hold(about(sized.solved.current_a, 13.6649, 5e-5), f"the magnets draw {sized.solved.current_a} A")
    hold(about(sized.solved.at_load_v, 10.9319, 5e-5), f"the magnets get {sized.solved.at_load_v} V")
    hold(len(sized.pins) == 7 and sized.basis and sized.cautions, f"{sized.pins}")
    spoilt = {"circuit": {"spec": {"awg_code": 31, "conductor_mm2": 2}}, "conductor_c": 400}
    fields = ["circuit.spec.awg_code", "circuit.spec.conductor_mm2", "conductor_c"]
    service.refuse("CalculatorService/SizeCircuit", spoilt, code=INVALID, reason="BAD_FIELDS", fields=fields)


def walk_hardware(service):
    """Exchange, captive nuts, marks, order of tightening."""
    bolt, nut = {"name": "bolts/m12-88-40"}, {"name": "nuts/m12-8"}
    specified = {"bolt": bolt, "nut": nut}
    rest = {"grip": {"value_mm": 20}, "specified_locks": False, "electroplated": False}
    # US Army TM 5-3895-367-14&P, appendix H: a higher class keeps the torque, a lower one is never fitted.
    stronger = {"specified": specified, "offered": {"bolt": {"name": "bolts/m12-109-40"}, "nut": nut}, **rest}
    better = service.answer("CalculatorService/CompareFasteners", {**stronger, "specified_torque": {"value_n_m": 79}})
    hold(better.verdict == service.enum("FastenerVerdict", "FASTENER_VERDICT_BETTER_KEEP_TORQUE"), f"{better.verdict}")
    hold(about(better.keep_n_m, 79), f"the torque stays: {better.keep_n_m}")
    weaker = {"specified": stronger["offered"], "offered": specified, **rest}
    worse = service.answer("CalculatorService/CompareFasteners", weaker)
    hold("lower-class" in {one.id for one in worse.reasons}, f"{worse.reasons}")
    empty = dict(code=INVALID, reason="BAD_FIELDS", fields=["specified", "offered"])
    service.refuse("CalculatorService/CompareFasteners", **empty)

    spun = {"bolt": bolt, "new_nut": nut, "torque": {"value_n_m": 79}, "condition": ZINC, "load": {"value_n": 12000}}
    repairs = service.answer("CalculatorService/RepairCaptiveNut", spun).repairs
    hold([one.id for one in repairs][:2] == ["through-bolt", "nut-plate"], f"{[one.id for one in repairs]}")
    empty = dict(code=INVALID, reason="BAD_FIELDS", fields=["bolt", "new_nut", "torque", "condition", "load"])
    service.refuse("CalculatorService/RepairCaptiveNut", **empty)

    scatter = {"bolt": bolt, "condition": OILED, "torque": {"value_n_m": 60}, "window_share": 0.1, "accuracy_share": 0.04}
    scatter |= {"deviations_count": 3, "relaxation_share": 0.05, "needed": {"value_n": 25000}}
    spread = service.answer("CalculatorService/PreloadScatter", scatter)
    hold(spread.worst.min_n < spread.band.min_n < spread.preload_n < spread.band.max_n, f"{spread.band}")
    hold(0 <= spread.under_needed_share <= 1 and 0 <= spread.over_proof_share <= 1, "chances are 0 to 1")
    empty = dict(code=INVALID, reason="BAD_FIELDS", fields=["bolt", "torque", "accuracy_share", "deviations_count"])
    service.refuse("CalculatorService/PreloadScatter", **empty)

    wrench = {"torque": {"value_n_m": 66}, "day": "2026-11-26"}
    chosen = service.answer("CalculatorService/ChooseWrench", wrench)
    hold([one.name for one in chosen.wrenches][0] == "wrenches/click-200", f"{chosen.wrenches}")
    hold(chosen.unfit_count == len([one for one in chosen.wrenches if one.reasons]), "each refused one says why")
    late = service.answer("CalculatorService/ChooseWrench", {**wrench, "day": "2030-01-01"})
    hold(late.fit_count == 0, f"no calibration holds for years: {late.wrenches}")
    empty = dict(code=INVALID, reason="BAD_FIELDS", fields=["torque", "day"])
    service.refuse("CalculatorService/ChooseWrench", **empty)

    # Derived: M12x1.75, 666.4 and 2498 kN/mm: 40 kN are 15.64 degrees.
    turn = {"bolt": bolt, "bolt_n_per_mm": 666400, "parts_n_per_mm": 2498000, "preload": {"value_n": 40000}}
    turned = service.answer("CalculatorService/TurnAngle", turn)
    hold(about(turned.turn_deg, 15.64, 0.005), f"40 kN are {turned.turn_deg} degrees")
    empty = dict(code=INVALID, reason="BAD_FIELDS", fields=["bolt", "bolt_n_per_mm", "parts_n_per_mm", "preload"])
    service.refuse("CalculatorService/TurnAngle", **empty)

    # SAE J429 line marks: six lines are grade 8.
    lines = {"threads": "MARKED_THREADS_INCH", "part": "MARKED_PART_BOLT", "line_count": 6}
    hold(service.answer("CalculatorService/LookUpHeadMark", lines).property_class == "SAE 8", "six lines are grade 8")
    four = dict(code=INVALID, reason="BAD_FIELDS", fields=["line_count"])
    service.refuse("CalculatorService/LookUpHeadMark", {**lines, "line_count": 4}, **four)

    # ASME PCC-1 (from memory): eight bolts on a circle.
    circle = {"circle_count": 8, "steps": "TIGHTENING_STEPS_THIRTY_SEVENTY_HUNDRED", "drawing": True}
    order = service.answer("CalculatorService/PlanTightening", circle)
    hold(list(order.order_position) == [1, 5, 3, 7, 2, 6, 4, 8], f"{order.order_position}")
    hold(order.drawing_svg.startswith("<svg") and len(order.passes) == 4, "three passes, a check, a drawing")
    empty = dict(code=INVALID, reason="BAD_FIELDS", fields=["circle_count", "steps"])
    service.refuse("CalculatorService/PlanTightening", **empty)


def walk_turning(service):
    tail = {"width_mm": 1900, "rear_face_station_mm": 4940, "turn_radius_mm": 6000}
    measured = {"tape_uncertainty_mm": 3, "turn_radius_uncertainty_mm": 100}
    turned = service.answer("CalculatorService/Turning", {"plan": plan(), "tail": tail, **measured})
    # A corner 1.30 m behind the axle, 0.95 m aside, on a radius of 6.0 m: 0.1205 m, as worked.
    hold(about(turned.body_swing_mm, 120.5, 0.05), f"{turned}")
    hold(turned.body_swing_uncertainty_mm > 0, f"{turned}")
    bad = dict(code=INVALID, reason="BAD_FIELDS", fields=["tail.width_mm", "turn_radius_uncertainty_mm"])
    spoilt = {"plan": plan(), "tail": {**tail, "width_mm": 20}, "tape_uncertainty_mm": 3}
    service.refuse("CalculatorService/Turning", spoilt, **bad)

    # 49 CFR 565, published sample (opened): its check digit fits.
    number = {"vin": "1G4AH59H45G118341", "market": "MARKET_NORTH_AMERICA"}
    vin = service.answer("CalculatorService/CheckVin", number)
    hold(vin.standing == service.enum("VinStanding", "VIN_STANDING_PLAUSIBLE"), f"{vin}")
    hold(list(vin.candidate_year) == [2005, 2035], f"both years: {vin.candidate_year}")
    meant = service.answer("CalculatorService/CheckVin", {**number, "vin": "IG4AH59H45GII834I"})
    hold(not meant.vin and meant.offers[0].vin == number["vin"], f"offered, not rewritten: {meant}")
    service.refuse("CalculatorService/CheckVin", code=INVALID, reason="BAD_FIELDS", fields=["vin"])

    # Moments about the trailer's axle: 2000 kg whose centre lies 300 mm before an axle 4300 mm behind the coupler.
    balance = {"balance": {"coupler_to_centre_mm": 4000}, "trailer_mass": {"value_kg": 2000}, "coupler_to_axle_mm": 4300}
    tongue = service.answer("CalculatorService/WeighTongue", balance)
    hold(about(tongue.tongue_kg, 2000 * 300 / 4300), f"{tongue.tongue_kg}")
    service.refuse("CalculatorService/WeighTongue", code=INVALID, reason="BAD_FIELDS", fields=["balance"])

    added = {"gvwr": {"printed": "6000 lb"}, "changes": [{"by": "bay", "added_mass_kg": 41}], "history_complete": True}
    label = service.answer("CalculatorService/AddedMass", {**added, "work": {"sale_state": "SALE_STATE_BEFORE_FIRST_SALE"}})
    hold(about(label.limit_mass_kg, 90 * 0.45359237) and label.label_due, f"1.5 % of 6000 lb are 90 lb: {label}")
    service.refuse("CalculatorService/AddedMass", code=INVALID, reason="BAD_FIELDS", fields=["gvwr"])

    # UN Regulation 55, section 2 (from memory): D = 9.81 · 3.2 · 2 / 5.2.
    train = {"kind": "COUPLING_KIND_FREE_DRAWBAR", "vehicle": {"value_kg": 3200}, "trailer": {"value_kg": 2000}}
    values = service.answer("CalculatorService/CouplingValues", train)
    hold(about(values.values[0].needed_kn, 12.0738, 5e-5) and not values.HasField("holds"), f"{values}")
    service.refuse("CalculatorService/CouplingValues", code=INVALID, reason="BAD_FIELDS", fields=["kind", "vehicle"])


def walk_upfits(service):
    rules = service.answer("UpfitsService/ListRules").rules
    hold(len(rules) >= 36, f"{len(rules)} rules")
    hold(all(one.title and one.source and one.remedy for one in rules), "every rule has a title, source and remedy")
    ids = {one.id for one in rules}
    why = service.answer("UpfitsService/ExplainUpfit", {"plan": plan(trailer_mass={"value_kg": 5500})})
    hold(any(one.lines and one.changes for one in why.findings), f"figures are derived and cleared: {why}")
    service.refuse("UpfitsService/ExplainUpfit", code=INVALID, reason="BAD_FIELDS", fields=["plan"])
    told = service.answer("UpfitsService/ExplainRule", {"rule": "gawr-rear"})
    hold(told.trips.finding.limit_in_unit < told.trips.finding.value_in_unit, f"{told.trips}")
    service.refuse("UpfitsService/ExplainRule", {"rule": "gawr"}, code=INVALID, reason="BAD_FIELDS", fields=["rule"])
    service.refuse("UpfitsService/ListRules", b"\xff\xff", code=INVALID, reason="BAD_FIELDS", fields=["request"])

    blocked = service.enum("Verdict", "VERDICT_BLOCKED")
    heavy = plan(trailer_mass={"value_kg": 5500})
    one = service.answer("UpfitsService/CheckUpfit", {"plan": heavy, "view": "REPORT_VIEW_FULL"})
    ruled = {"plan": heavy, "policy": {"spec": {"label": "walk", "drop_max_mm": 1}}}
    hold(service.answer("UpfitsService/CheckUpfit", ruled).report.policy.label == "walk", "a report names its policy")
    hold(one.report.verdict == blocked, f"5,500 kg behind a van: {one.report}")
    hold({finding.rule for finding in one.report.findings} <= ids, "every finding is of a rule of the book")
    hold(one.report.HasField("figures"), "the full view has figures")
    service.refuse("UpfitsService/CheckUpfit", code=INVALID, reason="BAD_FIELDS", fields=["plan"])

    masses = [400 + 90 * at for at in range(60)]
    plans = [plan(unit=f"U-{at}", trailer_mass={"value_kg": mass}) for at, mass in enumerate(masses)]
    plans[7] = plan(**by_name("vehicle", "van-l36"))
    plans[8] = plan(trailer_mass={"printed": "5 furlongs"})
    numbered = [{"seq": 10 * at + 1, "plan": one} for at, one in enumerate(plans)]
    messages = [{"plans": numbered[at : at + 7]} for at in range(0, 60, 7)]
    messages[0]["settings"] = {"view": "REPORT_VIEW_FINDINGS"}
    replies = service.answer("UpfitsService/CheckUpfits", *messages)
    results = [result for reply in replies for result in reply.results]
    hold([result.seq for result in results] == [one["seq"] for one in numbered], "every seq is answered once, in order")
    hold(len({reply.revision for reply in replies}) == 1, "the whole batch reads one revision")
    hold([reply.HasField("summary") for reply in replies].index(True) == len(replies) - 1, "the totals come last")
    hold(results[7].error.reason == service.enum("ErrorReason", "ERROR_REASON_ENTRY_NOT_FOUND"), f"{results[7]}")
    hold("vehicles/van-l35" in results[7].error.nearest_names, f"{results[7]}")
    hold(results[8].error.violations[0].field == "plans[1].trailer_mass.printed", f"{results[8]}")
    lines, counts = told_by(service, results)
    summary = replies[-1].summary
    hold(summary.digest == hashlib.sha256(lines.encode()).hexdigest(), "the batch's digest is not that of its answers")
    told = (summary.clear_count, summary.review_count, summary.blocked_count, summary.unreadable_count)
    hold(told == tuple(counts.values()) and summary.plan_count == 60, f"{counts} against {summary}")
    hold(counts["BLOCKED"] > 0 and counts["UNREADABLE"] == 2, f"{counts}")
    backwards = [{"plans": [{"seq": 2, "plan": plan()}, {"seq": 1, "plan": plan()}]}]
    service.refuse("UpfitsService/CheckUpfits", *backwards, code=INVALID, reason="BAD_FIELDS", told=["seq"])


def told_by(service, results):
    """Returns the lines that the digest of a batch is made of, and how many plans came out with each word."""
    words = {service.enum("Verdict", f"VERDICT_{word}"): word for word in ("BLOCKED", "REVIEW", "CLEAR")}
    lines, counts = "", {"CLEAR": 0, "REVIEW": 0, "BLOCKED": 0, "UNREADABLE": 0}
    for result in results:
        read = result.WhichOneof("outcome") == "report"
        word = words[result.report.verdict] if read else "UNREADABLE"
        rules_found = ",".join(finding.rule for finding in result.report.findings)
        lines += f"{result.seq} {word} {rules_found}\n"
        counts[word] += 1
    return lines, counts


def walk_fleet(service, sheet, program, address):
    """Checks the demo's sheet as read here, and holds the answers against what the program says of the same file."""
    numbered = [{"seq": line, "plan": one} for line, one in fleet.plans(sheet)]
    messages = [{"plans": numbered[at : at + 8]} for at in range(0, len(numbered), 8)]
    replies = service.answer("UpfitsService/CheckUpfits", *messages)
    lines, counts = told_by(service, [result for reply in replies for result in reply.results])
    command = [program, "check", str(sheet), "--show", "all", "--server", address, "--format", "ndjson"]
    ran = subprocess.run(command, capture_output=True, text=True, timeout=6 * DEADLINE)
    hold(ran.stdout, f"{' '.join(command)} ended with {ran.returncode}: {ran.stderr}")
    said = [json.loads(line) for line in ran.stdout.splitlines()]
    others = [(int(one["seq"]), one["report"]) for one in said if "report" in one]
    theirs = "".join(
        f"{seq} {one['verdict'].removeprefix('VERDICT_')} {','.join(found['rule'] for found in one.get('findings', []))}\n"
        for seq, one in sorted(others)
    )
    for ours, other in zip(lines.splitlines(), theirs.splitlines(), strict=True):
        hold(ours == other, f"the demo's sheet: {ours!r} over the wire, {other!r} by the program")
    told = [one["summary"] for one in said if "summary" in one]
    summary = json_format.MessageToDict(replies[-1].summary, preserving_proto_field_name=True)
    hold(told == [summary], f"the demo's sheet: {summary} over the wire, {told} by the program")
    hold(all(counts[word] for word in ("CLEAR", "REVIEW", "BLOCKED")), f"the demo shows every verdict: {counts}")
    return counts


def walk_steward(service, demo):
    info = service.answer("StewardService/ServerInfo")
    hold(sum(one.entry_count for one in info.folders) == len(demo), f"{info.folders}")
    hold(info.writable and info.release and info.engine and info.rule_count >= 36, f"{info}")
    limits = {one.name: one.max_count for one in info.limits}
    hold(limits["receive_bytes"] == 4 << 20 and limits["entry_bytes"] == 256 << 10, f"{limits}")
    service.refuse("StewardService/ServerInfo", b"\xff\xff", code=INVALID, reason="BAD_FIELDS", fields=["request"])
    issued = service.answer("StewardService/IssueToken", {"role": "ROLE_BAY", "holder": "Mira Solano", "bay": "bay-2", "life_s": 3600.0})
    hold(issued.text.startswith(f"baybook-{issued.token.id}-") and issued.token.bay == "bay-2", f"{issued.token}")
    service.refuse("StewardService/IssueToken", code=INVALID, reason="BAD_FIELDS", fields=["role", "holder", "life_s"])
    listed = service.answer("StewardService/ListTokens").tokens
    hold([one.id for one in listed] == [issued.token.id] and issued.text not in str(listed), f"{listed}")
    service.refuse("StewardService/ListTokens", b"\xff\xff", code=INVALID, reason="BAD_FIELDS", fields=["request"])
    revoked = service.answer("StewardService/RevokeToken", {"id": issued.token.id})
    hold(revoked.token.HasField("revoke_time"), f"{revoked}")
    service.refuse("StewardService/RevokeToken", {"id": "00000000"}, code=INVALID, reason="BAD_FIELDS", fields=["id"])
    taken = service.answer("StewardService/Backup")
    hold(taken.backup.revision == taken.revision == revoked.revision and taken.backup.size_bytes > 0, f"{taken}")
    hold(len(taken.backup.digest) == 32 and len(taken.backup.chain) == 64 and taken.backup.file.endswith(".backup"), f"{taken}")
    hold(service.answer("StewardService/ServerInfo").last_backup == taken.backup, "the last backup is another one")
    service.refuse("StewardService/Backup", b"\xff\xff", code=INVALID, reason="BAD_FIELDS", fields=["request"])
    verified = service.answer("StewardService/VerifyBook")
    hold(not verified.damages and verified.writable and verified.entry_count > len(demo), f"{verified}")
    again = service.answer("StewardService/VerifyBook", {"known_revision": verified.revision, "known_chain": verified.chain})
    hold(not again.damages or verified.chain == "0" * 64, f"{again}")
    service.refuse("StewardService/VerifyBook", {"known_revision": 3}, code=INVALID, reason="BAD_FIELDS", fields=["known_chain"])
    records = service.answer("StewardService/ListAudit", {"after_revision": issued.revision - 1, "page_size": 1000}).records
    hold([one.revision for one in records][0] == issued.revision, f"{records}")
    service.refuse("StewardService/ListAudit", {"after_revision": -1}, code=INVALID, reason="BAD_FIELDS", fields=["after_revision"])


def walk_standard(service):
    hold("grpc.health.v1.Health" in service.services, f"health is not among {service.services}")
    health = health_pb2_grpc.HealthStub(service.channel)
    serving = health_pb2.HealthCheckResponse.SERVING
    ours = [one for one in service.services if one.startswith(PACKAGE)]
    for name in ["", *ours]:
        status = health.Check(health_pb2.HealthCheckRequest(service=name), timeout=DEADLINE).status
        hold(status == serving, f"health of {name!r} is {status}")
    watch = health.Watch(health_pb2.HealthCheckRequest(service=""), timeout=DEADLINE)
    hold(next(watch).status == serving, "the watched health is another one")
    watch.cancel()
    try:
        health.Check(health_pb2.HealthCheckRequest(service="baybook.v1.Nothing"), timeout=DEADLINE)
        raise Wrong("there is a health of a service that is not there")
    except grpc.RpcError as error:
        hold(error.code() == NOT_FOUND, f"health of an unknown service: {error.code().name}")
    call = service.channel.unary_unary(f"/{PACKAGE}SpecBookService/GetEntrie", bytes, bytes)
    try:
        call(b"", timeout=DEADLINE)
        raise Wrong("a method that is not there was answered")
    except grpc.RpcError as error:
        unimplemented = grpc.StatusCode.UNIMPLEMENTED
        read_refusal("GetEntrie", error, unimplemented, "NO_SUCH_METHOD", (), ("GetEntrie",), ("method",))


def walk_admin(service, admin):
    """What is measured, read by a parser that is not ours, agrees with what this walk did."""
    with urllib.request.urlopen(f"http://{admin}/metrics", timeout=DEADLINE) as reply:
        hold("application/openmetrics-text" in reply.headers["content-type"], reply.headers["content-type"])
        families = {family.name: family for family in text_string_to_metric_families(reply.read().decode())}
    calls = families["baybook_call_duration_seconds"]
    hold(calls.type == "histogram" and calls.unit == "seconds", f"{calls.type} in {calls.unit}")
    counted = {}
    for sample in calls.samples:
        if sample.name.endswith("_count"):
            name = sample.labels["service"] + "/" + sample.labels["method"]
            counted[name] = counted.get(name, 0) + sample.value
    for method, done in service.done.items():
        hold(counted.get(method, 0) >= sum(done.values()), f"{method}: {counted.get(method)} counted, {done} made")
    for name in ["baybook_commit_duration_seconds", "baybook_fsync_duration_seconds"]:
        count = [one.value for one in families[name].samples if one.name.endswith("_count")]
        hold(count and count[0] > 0, f"{name} counts {count}")
    value = {name: family.samples[0].value for name, family in families.items() if family.samples}
    hold(value["baybook_writable"] == 1 and value["baybook_faults"] == 0, "it takes writes and nothing failed")
    hold(value["baybook_disk_free_bytes"] > 0 and value["baybook_last_verified_backup_timestamp_seconds"] > 0, f"{value}")
    for path in ["live", "ready"]:
        with urllib.request.urlopen(f"http://{admin}/{path}", timeout=DEADLINE) as reply:
            hold(reply.status == 200, f"{path}: {reply.status}")
    return len(families), sum(len(family.samples) for family in families.values())


def main(address, folder, program, admin=None):
    demo = [one for file in sorted(pathlib.Path(folder).glob("*.json")) for one in json.loads(file.read_text())]
    with grpc.insecure_channel(address) as channel:
        grpc.channel_ready_future(channel).result(timeout=DEADLINE)
        service = Service(channel)
        hold(len(service.methods) >= 20, f"reflection shows {len(service.methods)} methods: {sorted(service.methods)}")
        walk_standard(service)
        walk_book(service, demo)
        walk_changes(service)
        walk_calculator(service)
        walk_upfits(service)
        counts = walk_fleet(service, pathlib.Path(folder).parent / "fleet.csv", program, address)
        walk_steward(service, demo)
        left_out = service.left_out()
        hold(not left_out, "calls that this walk leaves out:\n  " + "\n  ".join(left_out))
        measured = walk_admin(service, admin) if admin else None
    answered = sum(one["answered"] for one in service.done.values())
    refused = sum(one["refused"] for one in service.done.values())
    print(f"{len(service.methods)} methods of {len(service.services)} services: {answered} answered, {refused} refused")
    if measured:
        print(f"{measured[0]} families of {measured[1]} samples are measured, as OpenMetrics has them")
    print(f"the demo's {sum(counts.values())} plans, here and by the program: " + ", ".join(f"{count} {word}" for word, count in counts.items()))


if __name__ == "__main__":
    if len(sys.argv) not in (4, 5):
        sys.exit(__doc__)
    try:
        main(*sys.argv[1:])
    except Wrong as wrong:
        sys.exit(f"not as promised: {wrong}")
