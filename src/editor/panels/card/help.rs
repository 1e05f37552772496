//! The help behind every field of the cards: what the figure is, how to come by it, and which checks go by it. One line a field;
//! a test asks for each.

/// The help for a field of a thing of that kind; empty where none is written. Circuits and what must also fit are listed with a
/// mark or number before the field's own words.
pub(super) fn of(subject: &str, label: &str) -> &'static str {
    if label.starts_with("phase ") {
        return "The name of a stage of the build-out; its tab and the sheet show it.";
    }
    if label.starts_with("beyond the ") {
        return "What lies on the other side of the wall: the open air, or a room kept as warm as this one, through which no heat passes.";
    }
    if label.starts_with("U of the ") && subject == "plan" {
        return U_VALUE;
    }
    if label.starts_with("runtime ") {
        return "A load and how long the UPS carries it, from the maker's table or your own trial. The surest way to know; the battery is a guess beside it.";
    }
    let own = label.rsplit_once(char::is_numeric);
    let listed = own.filter(|(before, _)| before.starts_with("load "));
    if let Some((_, words)) = listed {
        return other_load(words.trim_start());
    }
    let label = own.map_or(label, |(_, words)| words.trim_start());
    let words = special(subject, label);
    if words.is_empty() {
        shared(label)
    } else {
        words
    }
}

/// The help for the U value of a wall or ceiling.
const U_VALUE: &str = "Watts through a square metre for each kelvin; R values are taken too, as R 13. Textbook figures: solid brick 2.2, cavity brick and block 1.0, stud wall 1.8, flat roof with 50 mm insulation 0.6 to 0.7.";

/// The help for a field of one of the other loads.
fn other_load(label: &str) -> &'static str {
    match label {
        "name" => "What it is, as everybody in the room calls it.",
        "circuit" => {
            "The circuit it hangs on: from the panel's directory, or traced by an electrician. Unknown is said as unknown."
        }
        "running" => "Watts averaged over the hour in which it works hardest, best from a meter.",
        "peak" => {
            "The most watts it takes, from its plate or a meter: motors starting, coils cold."
        }
        "factor" => {
            "Its power factor: watts by volt-amperes, from its plate or a meter. What only heats has 1."
        }
        "arrives in" => "The phase from which on it is there.",
        _ => "",
    }
}

/// What one label means for one kind of thing.
fn special(subject: &str, label: &str) -> &'static str {
    match subject {
        "door" => door(label),
        "window" => window(label),
        "panel" => panel(label),
        "zone" => zone(label),
        "rack" => rack(label),
        "UPS" => ups(label),
        "cooling unit" => cooling(label),
        "printer" => printer(label),
        "circuit" => circuit(label),
        "plan" => plan(label),
        "column" => match label {
            "width" => "From face to face with its cladding, along the sheet before it is turned.",
            "depth" => "From face to face with its cladding, the other way.",
            _ => "",
        },
        "outlet" => match label {
            "above the floor" => {
                "From the finished floor to the middle of the box. It tells what hides it and how long a cord must be."
            }
            "receptacles" => {
                "How many plugs the outlet takes. A plug more than that is a finding of `circuits`."
            }
            "pattern" => {
                "The form of its slots, by the standard that draws it. It says which plugs go in and for how much current it is made."
            }
            "circuit" => {
                "The circuit it hangs on: from the panel's directory, or traced by an electrician. Unknown is said as unknown."
            }
            _ => "",
        },
        "bench" | "bin" | "cart" | "spool store" => furniture(label),
        "light" => light(label),
        "camera" => camera(label),
        "dimension" | "note" => written(label),
        "beam" | "pipe" | "sprinkler head" | "detector" => overhead(label),
        _ => "",
    }
}

fn door(label: &str) -> &'static str {
    match label {
        "width" => "The leaf, or the opening where there is none; its swing is as deep as this.",
        "height" => "From the finished floor to the underside of the head. `carry-in` goes by it.",
        "clear width" => {
            "Between the face of the open leaf and the stop, measured at the narrowest. Empty: `door-swing` says that it is not measured, and `carry-in` takes the width."
        }
        "hangs" => "The end of the door at which it turns, seen along its wall.",
        "opens" => "Where the leaf swings. `door-swing` keeps its quarter circle free.",
        "Way out" => {
            "People leave by it in danger; `way-out` looks for a way to it from every rack. The local code says which doors count."
        }
        _ => "",
    }
}

fn window(label: &str) -> &'static str {
    match label {
        "width" => "Of the opening, from reveal to reveal.",
        "sill" => {
            "From the finished floor to the upper side of the sill. `window` reports what stands above it."
        }
        "head" => "From the finished floor to the underside of the head.",
        "Opens" => "Said on the sheet; no check goes by it.",
        "U of the glass" => {
            "Watts through a square metre for each kelvin. Textbook figures: single glazing 5.7, double 2.8, double with a coated pane 1.8. `cooling` goes by it."
        }
        "sun let in" => {
            "The share of the sun's heat that gets in, blinds counted: clear double glazing 0.41 to 0.70, with inner blinds 0.1 to 0.2 (trade figures)."
        }
        "sun on it" => {
            "The sun on the glass at its strongest; from memory about 200 W/m² looking north, 600 to 800 otherwise. 0 where it is always shaded."
        }
        "Way out" => {
            "It serves as a way out; `window` is then a must-fix. The local code says which windows may."
        }
        _ => "",
    }
}

fn panel(label: &str) -> &'static str {
    match label {
        "width" => "Of the cabinet. The working space before it is as wide at least.",
        "depth" => "How far the cabinet stands out from the wall.",
        "above the floor" => "From the finished floor to its lower edge.",
        "height" => "Of the cabinet.",
        "main breaker" => {
            "The rating on the handle of its main breaker or fuse, on each leg. Empty: it has none, or nobody looked."
        }
        "free places" => {
            "Places for one pole each that are free as the room is now; a two-pole breaker takes two. Leave the cover on and let an electrician count."
        }
        _ => "",
    }
}

fn furniture(label: &str) -> &'static str {
    match label {
        "width" | "depth" => "Outside, before it is turned, with all that stands out from it.",
        "height" => "From the floor to its top. What hangs above it must be higher.",
        "worked at from" => {
            "The sides at which a person stands. The floor before them is kept free like that before a rack; none for what is only rolled in or stood by a wall."
        }
        "takes spools" => {
            "Spools of 1 kg that it takes. `spools` goes by it; empty is said as unknown."
        }
        _ => "",
    }
}

fn light(label: &str) -> &'static str {
    match label {
        "kind" => "The fixture in stock; its size, light and power come from its data sheet.",
        "lower edge at" => {
            "From the finished floor to its underside, where a tall rack would meet it."
        }
        "linked to" => {
            "The light that hands it its supply. The maker says how many may hang on one feed; an electrician wires the first."
        }
        "light" => "All the light it gives, from its data sheet in lumens. `light` goes by it.",
        "draws" => {
            "Its power from the data sheet. It becomes heat in the room, which `cooling` counts."
        }
        "linked at most" => "How many of them the maker allows in one run, the first one counted.",
        _ => "",
    }
}

fn camera(label: &str) -> &'static str {
    match label {
        "kind" => "The camera in stock; its angles and range come from its data sheet.",
        "lens at" => "From the finished floor to the middle of its lens.",
        "tilted down" => "How far below the level it looks, in degrees.",
        "sees across" => "The angle of its picture from left to right, from its data sheet.",
        "sees up and down" => "The angle of its picture from top to bottom, from its data sheet.",
        "sees as far as" => {
            "How far off a failed print can still be made out in its picture: try it."
        }
        _ => "",
    }
}

fn zone(label: &str) -> &'static str {
    match label {
        "use" => {
            "Keep clear: nothing may stand there. Wet: nothing electrical may, until it is promised dry."
        }
        "width" | "depth" => "Of the drawn zone, before it is turned.",
        "from height" => "The height at which the zone begins; 0 is the floor.",
        "up to height" => "The height at which it ends; empty: up to the ceiling.",
        "dry" => {
            "The phase from which the landlord promises it dry. `wet-zone` holds the phases before against it."
        }
        _ => "",
    }
}

fn rack(label: &str) -> &'static str {
    match label {
        "kind" => {
            "Which rack of the stock it is. Its levels and faces start anew with another kind."
        }
        "levels at" => "The upper side of every board above the floor, from the lowest up.",
        "printers a level" => "How many stand side by side on every level, from the lowest up.",
        "worked at from" => {
            "The sides a person tends it from. `service-strip` and `way-out` keep the floor before each free."
        }
        "fill with" => "Puts a printer of this kind into every free place.",
        "plug all into" => "Plugs every printer of the rack into one UPS or outlet.",
        "its board at" => "The upper side of this level's board above the floor.",
        "it holds" => "Printers, or what is stored there.",
        "side by side" => {
            "How many printers stand on the level. What the clear width takes is proposed below."
        }
        "its board" => "What the board is made of and how thick, where it differs from the rack's.",
        "board thickness" => {
            "Taken off the opening below it. Empty: as thick as the board of the stock."
        }
        "pads under them" => {
            "What lies under the printers of this level. It lifts them: `shelf-opening` and `reach` count it."
        }
        "pad under load" => {
            "How thick it is with a printer on it, measured. Empty: its thickness without load counts."
        }
        "mass of its pads" => {
            "What the pads under one printer weigh, on your own scales. `shelf-load`, `sag` and `floor-load` go by it."
        }
        "in each place" => "The printer kind of every place of the level.",
        "name in stock" => "The name of your own kind in the stock drawer.",
        "boards" => "The board every level has unless it says otherwise.",
        "posts high" => "From the floor to the top of the posts.",
        "between posts" => {
            "The clear width of a level, measured between the posts. `shelf-opening` goes by it."
        }
        "anchored" => {
            "Whether anchors hold it. `rack-stability` asks for them where it is tall for its depth."
        }
        "rated for" => {
            "The load the maker allows on the whole rack, from its plate. `shelf-load` goes by it."
        }
        "a level rated for" => {
            "The load the maker allows on each level, spread evenly, the board counted. `shelf-load` goes by it."
        }
        "its own mass" => "Of the rack without boards; it weighs on the floor with all it bears.",
        "boards rest on" => "What bears the boards: the less span between, the less `sag`.",
        "this level rated for" => {
            "What the maker allows on this level, where that is not as on the others."
        }
        "stored on it" => "The mass of what lies there: spools, boxes, the lot.",
        "closed on" => {
            "The sides that a sheet or panel closes from floor to top: no air passes there, and what stands behind is in its lee."
        }
        "comes" => {
            "In parts: carried in and put together inside. In one piece: `carry-in` takes it round every corner."
        }
        _ => "",
    }
}

fn ups(label: &str) -> &'static str {
    match label {
        "kind" => "Which UPS of the stock it is.",
        "stands" => "At the foot of a rack it goes where the rack goes.",
        "plugged into" => "The outlet its own cord goes to. Never another UPS.",
        "rated watts" => {
            "From its plate: watts, not volt-amperes. `ups` holds running and peak watts against it."
        }
        "rated volt-amperes" => "From its plate. Volt-amperes are held against it by themselves.",
        "efficiency" => {
            "Watts out by watts in on mains, from its data sheet; what is lost heats the room and loads the circuit."
        }
        "recharge" => {
            "Watts it takes besides while its battery fills after an outage; part of the peak on the circuit."
        }
        "receptacles" => {
            "How many plugs it takes with its battery behind them; surge-only sockets do not count."
        }
        "mains cord" => "The length of its own cord. `cords` measures the way along rack and wall.",
        "its mass" => {
            "With its batteries, from its data sheet. `floor-load` counts it at a rack's foot and before its faces."
        }
        "leakage" => {
            "The current that leaks to earth all the time, without its load: milliamperes from its data sheet or a clamp meter."
        }
        "battery" => {
            "Its string as a whole, from the label: voltage and capacity, as 24 V, 9 Ah. Two batteries of 12 V in a row make 24 V. Empty: unknown. From it a time is estimated where the maker gives none."
        }
        "rated over" => {
            "The time over which the battery gives its capacity, from its label or data sheet; 20 h is usual. Drained faster it gives less."
        }
        "exponent" => {
            "Of Peukert's law, from the battery's data sheet: about 1.05 to 1.2 for absorbed glass mat, 1.1 to 1.25 for gel. A new battery begins with 1.2, which promises the least."
        }
        "on battery" => {
            "The share of the battery's power that reaches the load, from the data sheet. Empty: unknown."
        }
        "left at its age" => {
            "The share of its capacity that is left; 80 % is commonly taken as its end. Empty: as new."
        }
        _ => "",
    }
}

fn cooling(label: &str) -> &'static str {
    match label {
        "kind" => {
            "Which unit of the stock it is. Stock figures are generic ones; take your own from its data sheet."
        }
        "above the floor" => "From the finished floor to the lower edge of its case.",
        "top air flow" => {
            "At the highest fan speed, from its data sheet. `throw` and `keep-out` follow the jet from it."
        }
        "colder than room" => {
            "How much colder the air leaves than the room is; the colder, the sooner the jet falls."
        }
        "rated capacity" => {
            "Heat and moisture together, from its data sheet; 12,000 Btu/h are 3517 W. `cooling` goes by it."
        }
        "sensible share" => {
            "The share of the capacity that takes heat and not moisture, from its data sheet; from memory 70 to 80 %. Printers give off no moisture, so only this share helps."
        }
        "left on hottest day" => {
            "The share of the rated capacity that is left when it is hottest outdoors, from its data sheet's table. Ratings are taken at 35 °C outdoors (from memory)."
        }
        "figures from" => {
            "Data sheet, your own meter, or a guess; a guess is said and bounds no count."
        }
        "vane, down" => {
            "The angle of this kind's vane below the horizontal, where a unit says no other."
        }
        "vane set" => {
            "Where this unit's vane points: such as 15 down, 10 up or level, up to 75 degrees. Empty: as its kind says. `throw` follows the jet from it."
        }
        "deflector" => {
            "A plate fixed before the outlet sends the air on at this angle, such as 20 up, whatever the vane says. Empty: none."
        }
        "louvres turn" => {
            "Where the upright louvres send the air, looking out of the unit into the room: such as 20 left, 20 right or straight."
        }
        "swing each way" => {
            "How far the louvres swing to either side of that; 0 where they stand still. Every printer is judged at the worst of it."
        }
        "fan speed" => {
            "The speed in use. `throw` goes by it; `keep-out` always goes by the top one, which anybody may set."
        }
        "air drawn at" => {
            "The height above the floor at which the lines of equal air speed are drawn. Empty: the middle height of the printers."
        }
        "lower speeds" => {
            "The fan speeds below the top one with their air flow, from the data sheet, the fastest first: such as medium 800 m3/h, low 600 m3/h."
        }
        "outlet width" | "outlet height" => "Of the slot the air leaves by, measured on the unit.",
        _ => "",
    }
}

fn printer(label: &str) -> &'static str {
    match label {
        "kind" => {
            "Which printer of the stock it is. Stock figures are generic ones; measure your own."
        }
        "stands in" => "Rack, level and place, as R3.2.1.",
        "plugged into" => "The UPS or outlet its cord goes to.",
        "running" => {
            "Watts averaged over a print, best read from a plug-in meter over a whole one. `circuits` and `ups` hold it against what may be taken for hours."
        }
        "peak" => {
            "The most watts it takes, while bed and nozzle heat: after an outage all do so at once. Held against the breaker and the full rating."
        }
        "standby" => "Watts it takes switched on and idle.",
        "power factor" => {
            "Watts by volt-amperes, from a plug-in meter. Circuits are judged in amperes, so it counts."
        }
        "figures from" => {
            "Data sheet, your own meter, or a guess; said beside what follows from them."
        }
        "mains cord" => "The length of its cord. `cords` measures the way along rack and wall.",
        "leakage" => {
            "The current that leaks to earth all the time: milliamperes from its data sheet or a clamp meter. What cuts circuits off at a leak sees the sum of all machines."
        }
        "inrush" => {
            "The rush of amperes as it is switched on, from its data sheet. After an outage all machines do so at once."
        }
        "auto-ranging" => {
            "Whether its supply takes any voltage from 100 to 240 V by itself: its plate says so. A switch at the back is not that."
        }
        "prints" => {
            "What is printed on it: what warps bears less air. While nobody says, `throw` takes it that it may warp."
        }
        "this kind prints" => {
            "What is printed on printers of this kind, where one does not say otherwise."
        }
        "bears air of" => {
            "The air speed that this kind bears while printing, where you know it; it goes before the limits of the plan."
        }
        "envelope width" | "envelope depth" | "envelope height" => {
            "The room it takes in use: moving bed, open lid, cables behind, spool on top. `shelf-opening` goes by it."
        }
        _ => "",
    }
}

fn circuit(label: &str) -> &'static str {
    match label {
        "breaker" => "The number on its handle, in amperes.",
        "volts" => "The voltage between its wires as the outlets give it.",
        "comes from" => "The panel its breaker sits in.",
        "curve" => {
            "The letter before the rating on the breaker: at how many times its rating a rush of current trips it at once (IEC 60898-1). Breakers without a letter: unknown."
        }
        "poles" => "How many conductors its breaker cuts; each takes a place in the panel.",
        "begins on leg" => {
            "The phase conductor its breaker sits on, traced by an electrician. Two poles take this leg and the next, three take all."
        }
        "conductor" => {
            "The copper in the wall, by the print on its sheath. It bears so much current, and the voltage falls along it."
        }
        "leakage trip" => {
            "What cuts it off when current leaks to earth, by what breaker or outlet has printed on it. Many supplies on one circuit leak together."
        }
        "run" => {
            "The cable one way, from the panel to the last box, as measured. Empty: estimated from where both stand."
        }
        _ => "",
    }
}

fn plan(label: &str) -> &'static str {
    match label {
        "plastic a day" => {
            "What one printer uses in a day of work, spools of all kinds together. `spools` goes by it."
        }
        "days to keep" => "For how many days plastic is kept in the room before more comes.",
        "hours alone" => {
            "Hours a day in which machines run and nobody is there. The insurer will ask; `fire` says it."
        }
        "duct outdoors" => {
            "What the landlord said of leading exhaust outdoors or bringing air in, who said it and when."
        }
        "fumes and dust" => {
            "What was decided about fumes and fine dust: machines that are enclosed and filtered, tests seen, plastics not printed here."
        }
        "insurer" => "What the insurer agreed to, with the date of the letter.",
        "agreed plastic" => {
            "The plastic that the insurer agreed to, as in the letter: `fire` says when the room would hold more. Empty: nothing is compared."
        }
        "agreed peak" => {
            "The power of all printers at its peak that the insurer agreed to: `fire` says when they take more. Empty: nothing is compared."
        }
        "alarm" => "Whom the detectors call and what an alarm switches off, as the landlord said.",
        "extinguishers" => {
            "Which extinguishers the fire authority wants beside electrical machines, and where."
        }
        "name" => "Stands in the title block of the sheet.",
        "printers hoped for" => {
            "The count you are planning for; the tape shows it beside what the room holds."
        }
        "practice" => {
            "Which units are shown and which profile of limits holds. Local code decides."
        }
        "supply" => {
            "The system of the building's supply, from the landlord or an electrician. New circuits begin with its outlet voltage."
        }
        "printing" => {
            "The share of the time that a printer prints, as a mean over all; it idles for the rest. Empty: all print all the time."
        }
        "people at work" => {
            "How many work in the room; each gives off 80 W at light bench work (ASHRAE Fundamentals). 0 where nobody stays."
        }
        "lights" => "Watts of all lamps that burn while it is hottest. 0 where none do.",
        "other machines" => {
            "Watts of computers, dryers, compressors, averaged over the hottest hour. 0 where there are none."
        }
        "who reaches" => {
            "Whose grip and shoulder `reach` goes by where you measured nothing: of 20 adults, women or men, 19 reach at least as far. The survey is of soldiers, who are fitter than most."
        }
        "In shoes" => "The survey measured barefoot; shoes add an inch (25 mm).",
        "own grip height" => {
            "From the floor to a rod held in the hand, arm stretched up, in the shoes of the work: the shortest of those who work here. Empty: as chosen above."
        }
        "own shoulder" => {
            "From the floor to the bone at the top of the same person's shoulder. Empty: in proportion to the grip."
        }
        "held indoors" => "The temperature that the cooling should hold.",
        "hottest outdoors" => {
            "On the hottest day that you want to work through; the weather service of the place knows it."
        }
        "air from outdoors" => {
            "Air changes, as 0.5/h (a small room without a fan: 0.5 to 1, a trade figure), or a fan's flow, as 100 m3/h or 60 cfm."
        }
        "above the ceiling" => {
            "The open air, or a room kept as warm as this one. A hot loft counts as the open air at least."
        }
        "ceiling height" => {
            "From the finished floor to the lowest plain ceiling; beams and pipes are things of their own."
        }
        "floor rated for" => {
            "The load on a square foot or metre that the floor is made for, from the landlord or an engineer: as 50 psf or 2.4 kPa. `floor-load` holds every rack against it."
        }
        "service" => {
            "The rating of the building's service on each leg, from the landlord or the utility."
        }
        "feeder" => "The rating of the breaker or fuse that feeds this room's panel, on each leg.",
        "share of them" => {
            "How much of feeder and service this room may take, as agreed with the landlord in writing. Empty: nobody said."
        }
        "room counts as" => {
            "Damp: a cellar, a garage, a sink near by. Then every outlet needs a device that protects people; ask a licensed electrician how the local code counts it."
        }
        "Higher voltage for auto-ranging machines" => {
            "Tick where machines whose plate says 100 to 240 V may hang on a circuit between two legs: the same watts take fewer amperes. An electrician wires it, with outlets made for it."
        }
        "breaker" | "volts" | "comes from" => circuit(label),
        "width" | "depth" | "height" | "across" => {
            "The room it takes in use, its own working side not counted."
        }
        "worked at from" => {
            "The sides a person works at it from; fill keeps the floor before them free."
        }
        "value" => "The limit in this plan, with its unit.",
        "reason" => "Why this plan differs. It stands beside the limit on every list.",
        _ => "",
    }
}

fn written(label: &str) -> &'static str {
    match label {
        "first end" | "second end" => "What this end is fastened to; it goes where that goes.",
        "line stands off" => "How far the dimension line lies beside what it measures.",
        "what it says" => "Shown on the floor and on the sheet, for whoever builds from it.",
        "points at" => "What the note's line leads to; it goes where that goes.",
        label if label.ends_with("from west") => "From the left edge of the room to this end.",
        label if label.ends_with("from south") => "From the lower edge of the room to this end.",
        _ => "",
    }
}

fn overhead(label: &str) -> &'static str {
    match label {
        "lower edge at" => {
            "From the finished floor to its lowest point; what is taller may not stand below it."
        }
        "width" | "depth" => "Seen from above, before it is turned.",
        _ => "",
    }
}

/// What a label means for anything that has it.
fn shared(label: &str) -> &'static str {
    match label {
        "on" => "The wall it is fixed to.",
        "measured from" => "The corner its measure is kept from when the wall changes.",
        "from its corner" => "Along the wall from that corner to its near end, as taped.",
        "from west wall" => "From the left edge of the room to its nearest point.",
        "from south wall" => "From the lower edge of the room to its nearest point.",
        "turned" => "Degrees anticlockwise; at 0 its front looks down the sheet.",
        "arrives in" => "The phase in which it is put there.",
        "leaves in" => "The phase in which it is taken away again.",
        "status" => {
            "What the contractor does with it: existing stays, new is built, moved is taken from elsewhere, removed is taken out."
        }
        "note" => {
            "A few words to yourself, kept with the thing. For the contractor, put a note on the floor: that is on the sheet."
        }
        "Pinned in its place" => "Neither dragging, nor arrow keys, nor fill moves it.",
        "above the floor" => "From the finished floor to its lower edge.",
        "out from the wall" => "How far it stands into the room.",
        "width" => "Along the wall.",
        "height" => "From its lower edge to its upper edge.",
        label if label.ends_with("alike") => {
            "Replaces the kind of all of them at once, as one step that can be undone."
        }
        _ => "",
    }
}
