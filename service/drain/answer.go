package drain

import "github.com/wattkeel/wattkeel/service/spec"

// Estimate says how long a pack may be left with what stays connected. Its figures
// are a prediction and are given whatever the verdict.
type Estimate struct {
	// Verdict is the worst severity among the findings: clear, caution or stop.
	Verdict spec.Verdict `json:"verdict"`
	// Start is the state of charge taken as the start.
	Start spec.Start `json:"start"`
	// FirstUnsafe is the cell that is unsafe first, and when.
	FirstUnsafe FirstUnsafe `json:"first_unsafe"`
	// Cells lists the series groups, in the order of the cells.
	Cells []Cell `json:"cells" validate:"max=32"`
	// Left is what the idle time leaves.
	Left Left `json:"left"`
	// Cautions is what to watch.
	Cautions []string `json:"cautions" validate:"max=64,dive,max=2000"`
	// Findings lists what the rules found, the worst first.
	Findings []spec.Finding `json:"findings" validate:"max=2000"`
	// Assumed lists each value the request left out.
	Assumed []spec.Assumed `json:"assumed" validate:"max=1000"`
	// NotEvaluated lists the rules that could not be judged.
	NotEvaluated []spec.NotEvaluated `json:"not_evaluated" validate:"max=1000"`
	// Versions says which service, rules and data made this answer.
	Versions spec.Versions `json:"versions"`
	// PlanID is the SHA-256, in hexadecimal, of the canonical JSON (RFC 8785) of {"request":…,"versions":…}, the request without members that say nothing.
	PlanID string `json:"plan_id" validate:"len=64" pattern:"^[0-9a-f]{64}$"`
	// Trace says how each number of the answer was worked out. Absent unless trace=full asks for it.
	Trace []spec.TraceNode `json:"trace,omitempty" validate:"omitempty,max=4096"`
}

// FirstUnsafe is the cell that is unsafe first: down to the chemistry's safe-start
// voltage, or, for nimh, empty.
type FirstUnsafe struct {
	// Cell is its number, 1 being the one at the common (negative) wire.
	Cell int `json:"cell" validate:"gte=1,lte=32" unit:"number of the cell"`
	// ExpectedDays is the expected time in days.
	ExpectedDays float64 `json:"expected_days" validate:"gte=0,lte=1000000000"`
	// LowDays is the shortest time, in days, that the uncertainty of the inputs allows.
	LowDays float64 `json:"low_days" validate:"gte=0,lte=1000000000"`
	// HighDays is the longest time, in days, that the uncertainty of the inputs allows.
	HighDays float64 `json:"high_days" validate:"gte=0,lte=1000000000"`
	// Drivers lists what widens the range, the most important first.
	Drivers []Driver `json:"drivers" validate:"max=8"`
}

// Days is a time in days as an honest range.
type Days struct {
	// ExpectedDays is the expected time in days.
	ExpectedDays float64 `json:"expected_days" validate:"gte=0,lte=1000000000"`
	// LowDays is the shortest time, in days, that the uncertainty of the inputs allows.
	LowDays float64 `json:"low_days" validate:"gte=0,lte=1000000000"`
	// HighDays is the longest time, in days, that the uncertainty of the inputs allows.
	HighDays float64 `json:"high_days" validate:"gte=0,lte=1000000000"`
}

// Driver is one input that widens a range of days.
type Driver struct {
	// Field is the JSON Pointer into the request of the measurement that would narrow the range.
	Field string `json:"field" validate:"max=256" format:"json-pointer"`
	// WidensDays is by how many days what is not known of this input could shorten the time, or, where the shortest is assumed already, lengthen it.
	WidensDays float64 `json:"widens_days" validate:"gte=0,lte=1000000000"`
	// Measure says what to measure.
	Measure string `json:"measure" validate:"max=500"`
}

// Cell is one series group.
type Cell struct {
	// CurrentMA is what all drains together draw from it, in milliamperes, without its self-discharge.
	CurrentMA float64 `json:"current_ma" validate:"gte=0,lte=10000000"`
	// SelfDischargeMA is what it loses by itself at the start, in milliamperes.
	SelfDischargeMA float64 `json:"self_discharge_ma" validate:"gte=0,lte=1000000"`
	// Storage is the time until it is down to storage charge: 0 where it is there or below. Absent for nimh.
	Storage *Days `json:"storage,omitempty"`
	// SafeStart is the time until it is down to the safe-start voltage, below which a charge must begin gently. Absent for nimh.
	SafeStart *Days `json:"safe_start,omitempty"`
	// Empty is the time until it holds no charge.
	Empty Days `json:"empty"`
	// Floor is the time until it is down to the floor, below which it must not be charged again. Absent for nimh.
	Floor *Days `json:"floor,omitempty"`
}

// Left is what the idle time leaves of the pack.
type Left struct {
	// IdleDays is the idle time in days: as given, or assumed.
	IdleDays float64 `json:"idle_days" validate:"gte=0,lte=36500"`
	// CellChargesPercent is the state of charge of each series group then, in percent, 0 to 100, in the order of the cells.
	CellChargesPercent []float64 `json:"cell_charges_percent" validate:"max=32,dive,gte=0,lte=100"`
	// CellVoltagesV is the rested voltage of each series group then, in volts. Absent for nimh.
	CellVoltagesV []float64 `json:"cell_voltages_v,omitempty" validate:"max=32,dive,gte=0,lte=6"`
	// SpreadMAh is the charge of the fullest group less that of the emptiest, in milliampere hours: what balancing must make good.
	SpreadMAh float64 `json:"spread_mah" validate:"gte=0,lte=1000000000"`
	// SpreadMV is the highest less the lowest rested voltage, in millivolts. Absent for nimh.
	SpreadMV *float64 `json:"spread_mv,omitempty" validate:"gte=0,lte=6000"`
}
