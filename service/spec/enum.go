package spec

// Enum is implemented by every string type with a closed list of values.
type Enum interface {
	// Enum lists the legal values, in the order they are documented.
	Enum() []string
}

// Chemistry names the cell chemistry printed on the pack.
type Chemistry string

const (
	LiPo    Chemistry = "lipo"    // lithium polymer, 4.20 V a cell when full
	LiHV    Chemistry = "lihv"    // high-voltage lithium polymer, 4.35 V a cell when full
	LiIon   Chemistry = "liion"   // cylindrical lithium ion, 4.20 V a cell when full
	LiFePO4 Chemistry = "lifepo4" // lithium iron phosphate, 3.65 V a cell at the end of charge
	NiMH    Chemistry = "nimh"    // nickel-metal hydride, 1.2 V a cell nominal
)

// Enum lists the chemistries.
func (Chemistry) Enum() []string {
	return []string{string(LiPo), string(LiHV), string(LiIon), string(LiFePO4), string(NiMH)}
}

// Lithium reports whether the chemistry is charged to a voltage and balanced.
func (c Chemistry) Lithium() bool { return c != NiMH }

// ResistanceMethod says how cell resistances were measured.
type ResistanceMethod string

const (
	AC1kHz  ResistanceMethod = "ac_1khz"  // 1 kHz alternating current: what a hobby meter shows
	DCShort ResistanceMethod = "dc_short" // voltage step within about a second of a load step
	DC10s   ResistanceMethod = "dc_10s"   // voltage step 10 seconds after a load step
)

// Enum lists the methods.
func (ResistanceMethod) Enum() []string {
	return []string{string(AC1kHz), string(DCShort), string(DC10s)}
}

// Condition is something that has happened to the pack.
type Condition string

const (
	Swollen        Condition = "swollen"         // the pack has puffed up or changed shape
	Dented         Condition = "dented"          // a cell is dented
	Punctured      Condition = "punctured"       // the foil is pierced or torn
	Crashed        Condition = "crashed"         // the model it was in hit something
	WaterExposed   Condition = "water_exposed"   // it has been in water
	LeadDamaged    Condition = "lead_damaged"    // a main or balance lead, or its insulation, is damaged
	OverDischarged Condition = "over_discharged" // it has been run or left below its floor voltage
	Overheated     Condition = "overheated"      // it has been too hot to hold
	UnknownHistory Condition = "unknown_history" // nobody can say how it was treated
)

// Enum lists the conditions.
func (Condition) Enum() []string {
	return []string{
		string(Swollen), string(Dented), string(Punctured), string(Crashed), string(WaterExposed),
		string(LeadDamaged), string(OverDischarged), string(Overheated), string(UnknownHistory),
	}
}

// Balance says whether and how a charger equalizes the cells.
type Balance string

const (
	BalanceWithMainLead Balance = "with_main_lead"    // charge through the main lead, balance through the balance lead
	BalanceLeadOnly     Balance = "balance_lead_only" // the charge current itself goes through the balance lead
	BalanceNone         Balance = "none"              // the charger does not see single cells
)

// Enum lists the ways of balancing.
func (Balance) Enum() []string {
	return []string{string(BalanceWithMainLead), string(BalanceLeadOnly), string(BalanceNone)}
}

// CellCount says how a charger learns the number of cells in series.
type CellCount string

const (
	CellCountSetByHand CellCount = "set_by_hand" // a person sets it
	CellCountDetected  CellCount = "detected"    // the charger reads it from the balance lead
	CellCountByPort    CellCount = "by_port"     // one socket for each cell count
)

// Enum lists the ways of setting the cell count.
func (CellCount) Enum() []string {
	return []string{string(CellCountSetByHand), string(CellCountDetected), string(CellCountByPort)}
}

// Pace says how fast to charge where no current is asked for.
type Pace string

const (
	Gentle   Pace = "gentle"   // 0.5 C
	Everyday Pace = "everyday" // 1 C
	Quick    Pace = "quick"    // the label's limit
)

// Enum lists the paces.
func (Pace) Enum() []string { return []string{string(Gentle), string(Everyday), string(Quick)} }

// Enclosure is what the pack stands in while it charges.
type Enclosure string

const (
	FireResistantBag Enclosure = "fire_resistant_bag" // a bag sold as fire resistant
	MetalBox         Enclosure = "metal_box"          // a metal box that can vent
	NoEnclosure      Enclosure = "none"               // nothing
)

// Enum lists the enclosures.
func (Enclosure) Enum() []string {
	return []string{string(FireResistantBag), string(MetalBox), string(NoEnclosure)}
}

// Surface is what the pack stands on while it charges.
type Surface string

const (
	NonCombustible Surface = "non_combustible" // concrete, stone, tile, metal
	Combustible    Surface = "combustible"     // wood, carpet, a sofa, a bed
)

// Enum lists the surfaces.
func (Surface) Enum() []string { return []string{string(NonCombustible), string(Combustible)} }

// Program is the charger program to choose.
type Program string

const (
	ChargeBalanced   Program = "charge_balanced"   // constant current, constant voltage, cells equalized
	ChargeUnbalanced Program = "charge_unbalanced" // without equalizing the cells
)

// Enum lists the programs.
func (Program) Enum() []string { return []string{string(ChargeBalanced), string(ChargeUnbalanced)} }

// Severity ranks a finding.
type Severity string

const (
	Note    Severity = "note"    // worth knowing
	Caution Severity = "caution" // go on only with care
	Stop    Severity = "stop"    // do not
)

// Enum lists the severities, mildest first.
func (Severity) Enum() []string { return []string{string(Note), string(Caution), string(Stop)} }

// Rank orders severities: note 1, caution 2, stop 3, anything else 0.
func (s Severity) Rank() int {
	switch s {
	case Note:
		return 1
	case Caution:
		return 2
	case Stop:
		return 3
	}
	return 0
}

// Verdict is the answer in one word: the worst severity among the findings.
type Verdict string

const (
	VerdictClear   Verdict = "clear"   // nothing found, or only notes
	VerdictCaution Verdict = "caution" // at least one caution
	VerdictStop    Verdict = "stop"    // at least one stop: the answer holds no settings
)

// Enum lists the verdicts, best first.
func (Verdict) Enum() []string {
	return []string{string(VerdictClear), string(VerdictCaution), string(VerdictStop)}
}
