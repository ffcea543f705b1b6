"""Reads a fleet sheet with Python's own csv module, and lays its cells out as plans of the contract.

It knows the columns of the demo's sheet and no others: a heading it does not know is an error, so that no cell is passed over.
"""

import csv

# A cell that says that nobody knows; in a plan that is the same as saying nothing.
UNKNOWN = {"", "?", "unknown"}
ENTRIES = {
    "vehicle": "vehicles",
    "receiver": "receivers",
    "replaced_receiver": "receivers",
    "ball_mount": "ballmounts",
    "ball": "balls",
    "trailer": "trailers",
    "bolt": "bolts",
    "nut": "nuts",
    "washer": "washers",
    "condition": "finishes",
}
WORDS = {"unit", "vin", "jurisdiction"}
CHOICES = {"sale_state": "SALE_STATE", "chain_rule": "CHAIN_RULE", "socket": "SOCKET"}
FLAGS = {"spring_bars", "brake_controller", "converter"}
PRINTED = {"trailer_mass", "tongue_load"}
LIMITS = {
    "limit.approach (deg)": ("approach_min_deg", 1),
    "limit.departure (deg)": ("departure_min_deg", 1),
    "limit.departure_laden (deg)": ("departure_laden_min_deg", 1),
    "limit.ramp (deg)": ("ramp_min_deg", 1),
    "limit.hitch_height (mm)": ("hitch_height_min_mm", 1),
    "limit.tongue_share_min (%)": ("tongue_min_share", 0.01),
    "limit.tongue_share_max (%)": ("tongue_max_share", 0.01),
    "limit.level_tolerance (mm)": ("level_tolerance_mm", 1),
}


def yes(cell):
    return {"yes": True, "no": False}[cell]


def named(kind, cell):
    field = {"condition": "finish"}.get(kind, kind.removeprefix("replaced_"))
    return {field: {"name": f"{ENTRIES[kind]}/{cell}"}}


def put(plan, heading, cell):
    """Puts one filled cell into the plan."""
    head, _, rest = heading.partition(".")
    if heading in ENTRIES:
        plan[heading] = next(iter(named(heading, cell).values()))
    elif heading in WORDS:
        plan[heading] = cell
    elif heading in CHOICES:
        plan[heading] = f"{CHOICES[heading]}_{cell.upper().replace('-', '_')}"
    elif heading in FLAGS:
        plan[heading] = yes(cell)
    elif heading in PRINTED:
        plan[heading] = {"printed": cell}
    elif heading in ("mass_added_before (kg)", "mass_removed (kg)"):
        plan[heading.replace(" (kg)", "_kg")] = float(cell)
    elif heading == "extension_length":
        number, unit = cell.split()
        plan["extension"] = {"length_mm": float(number) * {"mm": 1, "in": 25.4}[unit]}
    elif heading in LIMITS:
        field, factor = LIMITS[heading]
        plan.setdefault("limits", {})[field] = float(cell) * factor
    elif head == "own":
        plan.setdefault("unit_figures", {})[rest] = {"printed": cell}
    elif head == "answer":
        plan.setdefault("answers", {})[rest] = yes(cell)
    elif head == "item":
        label, _, part = rest.partition(".")
        item = plan.setdefault("items", {}).setdefault(label, {"label": label})
        if part == "permanent":
            item["permanent"] = yes(cell)
        else:
            item |= {"mass (kg)": {"mass": {"value_kg": float(cell)}}, "station (mm)": {"station_mm": float(cell)}}[part]
    elif head == "joint":
        name, _, part = rest.partition(".")
        joint = plan.setdefault("joints", {}).setdefault(name, {"id": name})
        joint |= {"planned_torque": {"printed": cell}} if part == "torque" else named(part, cell)
    else:
        raise KeyError(f"the column {heading!r} is not known")


def plans(sheet):
    """Returns each row's line and its plan."""
    with open(sheet, newline="", encoding="utf-8") as file:
        rows = csv.DictReader(file)
        read = []
        for row in rows:
            plan = {}
            for heading, cell in row.items():
                if not heading.startswith("note") and cell not in UNKNOWN:
                    put(plan, heading, cell)
            # A sheet may carry the station on every row: an item rides along once its mass is told.
            plan["items"] = [item for item in plan.get("items", {}).values() if "mass" in item]
            plan["joints"] = list(plan.get("joints", {}).values())
            read.append((rows.line_num, plan))
    return read
