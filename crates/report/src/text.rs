//! The fixed wording of a report: words of verdicts, method, sources, cautions.

/// Above the list of what stands on which page.
pub const CONTENTS: &str = "Contents";

/// Under the answers.
pub const WHAT_THE_VERDICTS_REST_ON: &str = "Every verdict rests on rows of the files listed under “Inputs”; each is \
    named beside it. “Not shown” means that the record cannot tell, not that something is wrong. The verdicts speak \
    of the places that were metered and logged, and of nothing else.";

/// When nothing is missing.
pub const NOTHING_MISSING: &str = "Nothing that the verdicts need was found missing from the record.";

/// A job without chambers.
pub const NO_CHAMBER: &str =
    "No drying chamber is on the record, so no goal can be judged; the air is shown as logged.";

/// A chamber without points.
pub const CHAMBER_WITHOUT_POINTS: &str = "No metered point belongs to this chamber, so its goal is not shown: air \
    alone does not say how wet a material is.";

/// Words of equipment-days.
pub const EQUIPMENT_DAY_WORDS: &str = "Needed: at least one point or air goal of the area served was open in the \
    period. Not needed: every one was met before the period began. Not shown: the record cannot tell. Not judged: the \
    unit is there for another purpose than drying. Did not run: days needed in which the unit stood an hour or more \
    without a recorded pause.";

/// Billed beside recorded.
pub const BILLED_ONLY_WHERE_STATED: &str = "Billed days are compared only for units that have them on record.";

/// How an equipment-day is judged.
pub const EQUIPMENT_DAY_RULE: &str = "An equipment-day is judged by the load in the area the unit serves: the points \
    and air goals that were still open while it stood there. The verdict says that there was something to dry; how \
    many units that took is another question. What the unit did is printed beside the verdict and changes nothing in it.";

/// Basis of a default goal.
pub const COMMON_PRACTICE: &str = "common practice, no source";

/// A low sample share.
pub const SAMPLE_SHARE: &str = "Samples: share of the day's expected samples that are there and usable. A mean over \
    less than 75 % speaks for part of the day only.";

/// Beside small differences of air.
pub const SMALL_DIFFERENCES: &str = "A difference within its uncertainty cannot be told from none. Towards the end of a \
    job that is to be expected and no reason to doubt a verdict.";

/// Beside small depressions.
pub const SMALL_DEPRESSIONS: &str = "Read depression together with the load. As materials give off less water, the air \
    that reaches a dehumidifier is drier and less can be taken out of it: a depression that shrinks late in a job is \
    what drying looks like, not a sign of a failing machine. `fallen with the load` says that it is smaller than on the \
    first day by more than its uncertainty, and the inlet air holds under 80 % of what it held then or less than half of \
    the excess moisture is left. `low for the load` says that it is under half of the first day's and neither holds: worth \
    a look at the machine. Neither changes a verdict (project convention).";

/// How water is computed.
pub const WATER_REMOVED: &str = "Water is airflow times depression over the time the unit ran, divided by the specific \
    volume of the air; condensate measured by hand stands beside it over the same stretch. Pints and litres are of water \
    at 80 degF, in and out.";

/// Beside the readings of each point by day.
pub const READINGS_BY_DAY: &str = "The reading that decides on that day; strong where it meets the goal. Of a logged \
    point the last of the day. none: not read that day. >: more than the meter shows; OL: over its range; –: a visit \
    without a number. Each reading stands with its row under its day, and with its drive in tables/readings.csv.";

/// Beside the readings that decide equipment-days.
pub const READING_AGES: &str = "The reading that decides is that of the point named: for a needed day the last above its \
    goal before the day ended, for a day not needed the one nearest to the day; “it” is the day. A verdict asks for a \
    reading within 36 h of the day.";

/// Beside equal equipment-days.
pub const EQUAL_DAYS_JOINED: &str = "Days in a row with the same answer for the same reason share a line; each has its own \
    line in tables/equipment_days.csv.";

/// Beside forecasts.
pub const FORECAST: &str = "A forecast fits a falling rate to the point's readings and holds only while the air stays as \
    it is. Its range covers 80 % of the outcomes over what the material may settle at and how far the fit may be off. \
    No verdict rests on it.";

/// Beside the sizing check.
pub const CALLED_FOR: &str = "A range for the first day, from the sizes and the class on the record. More or less than it \
    is a question to ask, no verdict: later days are judged by their load.";

/// Above the findings.
pub const FINDINGS: &str = "Facts with a date and the rows they rest on. A finding changes no verdict by itself; it \
    says what to look at, and why.";

/// No findings.
pub const NO_FINDINGS: &str = "None of the conditions that are looked for was found in the record.";

/// How many characters could not be shown; empty for none.
#[must_use]
pub fn replaced(characters: u64) -> String {
    match characters {
        0 => String::new(),
        1 => "One character that cannot be shown here is written as [U+XXXX].".to_owned(),
        many => format!("{many} characters that cannot be shown here are written as [U+XXXX]."),
    }
}

/// How the report comes to its numbers: a heading with what is done.
pub const METHOD: [(&str, &str); 9] = [
    (
        "Air",
        "Temperature and relative humidity of each sample give vapour pressure, humidity ratio (GPP), dew point, wet \
         bulb and enthalpy. Relative humidity is taken over liquid water at every temperature. Humidity above 100 % by \
         no more than the sensor's limit is computed at 100 % with the original kept; above that it is refused.",
    ),
    (
        "Days",
        "A day is a civil day of the job's zone and as long as the zone makes it. Daily values are time-weighted. \
         Differences are taken between samples of matching instants, never between daily means.",
    ),
    (
        "Uncertainty",
        "U is an expanded uncertainty (k = 2). Sensor limits count as rectangular, and different loggers as \
         uncorrelated unless their bias was measured. The air pressure's own error is part of every U of GPP, enthalpy \
         and water removed; all loggers share it, so that it all but cancels in differences and in water. U of a daily \
         mean is that of a sample: a sensor's error is bias, which more samples do not average away.",
    ),
    (
        "Grain depression",
        "Grains per pound at a unit's inlet minus those at its outlet while it runs. The inlet is the unit's own \
         inlet logger, else the affected air of its chamber.",
    ),
    (
        "Dry standard and goal",
        "The dry standard is stated, or the median of reference points in unaffected material of the same kind, read \
         with the same meter on the same scale at the first visit. A point without goal and without dry standard is \
         not shown. Scales are never mixed: only the series of the goal's meter and scale decides.",
    ),
    (
        "Met and open",
        "A point is open from the loss until the reading that meets its goal. A later reading above the goal by more \
         than the meter's accuracy, or two in a row above it, opens it again. Of several readings in one visit the \
         highest counts. Between readings nothing is guessed, and what is read later does not rewrite the days before.",
    ),
    (
        "Equipment-days",
        "One open point or air goal of the area served makes a day needed. A point without a reading within 36 hours \
         of the period makes it not shown, unless another point shows load. Not needed requires every point to be met \
         before the period began, and the air not to get wetter since, unexplained: by 5 GPP and more for an hour while \
         dehumidifiers ran on and outdoor air was drier. Then it is not shown.",
    ),
    (
        "Drying rate",
        "The median of the slopes between all pairs of readings since the last rewetting or change of meter, with its \
         95 % interval. Progress of a chamber is the median of its points' shares of initial excess moisture gone.",
    ),
    (
        "Depression late in a job",
        "Towards the end there is little water left to take out, and depression falls until it is lost in its \
         uncertainty. That is what drying looks like. Depression is read together with the open points, never alone.",
    ),
];

/// Quantity, relation, source.
pub const SOURCES: [(&str, &str, &str); 12] = [
    (
        "Saturation pressure over water",
        "ln pws as a function of T",
        "ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 6",
    ),
    ("Vapour pressure", "pw = RH · pws(t)", "ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 12 and 22"),
    ("Humidity ratio", "W = 0.621945 pw / (p − pw)", "ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 20"),
    ("Grains per pound of dry air", "GPP = 7000 W", "7000 grains are one pound, exact"),
    ("Dew point", "pws(td) = pw, solved", "ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 36"),
    ("Enthalpy", "h = 1.006 t + W (2501 + 1.86 t)", "ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 30"),
    ("Specific volume", "v from T, W and p", "ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 26"),
    ("Wet bulb", "energy balance, solved", "ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 33 and 35"),
    ("Pressure at an elevation", "standard atmosphere", "ASHRAE Handbook-Fundamentals (2017), ch. 1, eq. 3"),
    (
        "Wood moisture and humidity",
        "two-hydrate sorption equation, inverted",
        "USDA Forest Products Laboratory, Wood Handbook, ch. 4 (GTR-190, 2010, eq. 4-5)",
    ),
    (
        "Drying rate",
        "median of pairwise slopes, interval from ranks",
        "Sen, J. Am. Stat. Assoc. 63 (1968) 1379 (from memory)",
    ),
    (
        "Uncertainty",
        "law of propagation; rectangular limits a give a / √3; k = 2",
        "JCGM 100:2008 (GUM), eq. 10 and 13, sec. 4.3.7",
    ),
];

/// Limits of the equations.
pub const EQUATION_LIMITS: &str = "The equations treat moist air as an ideal gas. Tables of real moist air lie 0.3 to \
    0.7 % higher in humidity ratio, about a tenth of what the sensors leave open.";

/// Cautions: a heading with what to mind.
pub const CAUTIONS: [(&str, &str); 10] = [
    (
        "Electricity",
        "Stay out of standing water and off wet equipment until someone qualified has isolated the power. Use \
         ground-fault protection, and spread air movers and dehumidifiers over circuits.",
    ),
    (
        "Contaminated water",
        "With water of category 2 or 3, clean or remove first and keep moving air off it until then; protect hands, \
         eyes and breathing.",
    ),
    (
        "Asbestos and lead",
        "Have suspect old materials checked before anything is cut, drilled or pinned. Local law says who may do it.",
    ),
    (
        "Growth",
        "Visible growth, or materials wet for longer than a day or two, need an assessment before air is moved.",
    ),
    (
        "Heat and fuel",
        "Hot chambers strain people and contents. Heaters and generators that burn fuel give off carbon monoxide: \
         outdoors or vented only.",
    ),
    ("Footing and ceilings", "Wet floors, hoses and cords make people fall; soaked ceilings and floors may give way."),
    ("Over-drying", "Wood and finishes dried past their usual state may crack, cup or shrink."),
    (
        "What is judged",
        "The logs and readings that were handed in, and no more. Cavities and layers that nobody metered are not part \
         of it; someone qualified has to inspect the building and decide.",
    ),
    ("What comes first", "Local codes, the standard in force and licensed practice come before anything said here."),
    ("What this is not", "Advice on health, law or insurance."),
];

/// Who signs.
pub const SIGN_OFF: [&str; 3] = [
    "Recorded on site by (name, credential, date)",
    "Reviewed by (name, date)",
    "For the owner or insurer (name, date)",
];

/// Above the lines to sign on.
pub const SIGN_OFF_TEXT: &str = "Signing confirms that the record was seen, not that the building was inspected beyond \
    what the record shows.";

/// Days of the week, from Sunday.
pub const DAYS_SHORT: [&str; 7] = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];

/// Months.
pub const MONTHS_SHORT: [&str; 12] =
    ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// How the keyboard reads a chart of the page.
pub const CHART_KEYS: &str = "Left and right arrow read the values from time to time, page up and page down by a day, \
    up and down arrow change the plot, Escape ends.";

/// How the keyboard reads a chart of states on the page.
pub const PLANE_KEYS: &str = "Left and right arrow read the state of one air from hour to hour, up and down arrow \
    change the air, Escape ends.";

/// Under the page's list of what to do.
pub const TO_DO_RESTS_ON: &str = "As the record stands. Someone qualified decides on site.";
