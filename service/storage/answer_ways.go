package storage

import "github.com/wattkeel/wattkeel/service/spec"

// Alternative is a way to storage charge without the charger.
type Alternative struct {
	// Kind says which way it is.
	Kind AlternativeKind `json:"kind"`
	// Says what to do, in a sentence or two.
	Says string `json:"says" validate:"max=1000"`
	// Run is running it down in the model. Present for run_in_model.
	Run *ModelRun `json:"run,omitempty"`
	// Resistor is running it down through a resistor. Present for resistor.
	Resistor *Resistor `json:"resistor,omitempty"`
	// Wait is waiting for self-discharge. Present for wait.
	Wait *Wait `json:"wait,omitempty"`
}

// AlternativeKind names a way to storage charge without the charger.
type AlternativeKind string

const (
	RunInModel      AlternativeKind = "run_in_model" // under the load given, or at 1 C
	ThroughResistor AlternativeKind = "resistor"     // through a resistor
	ByWaiting       AlternativeKind = "wait"         // by self-discharge
)

// Enum lists the ways.
func (AlternativeKind) Enum() []string {
	return []string{string(RunInModel), string(ThroughResistor), string(ByWaiting)}
}

// ModelRun is a pack run down to storage charge in its model.
type ModelRun struct {
	// ExpectedMin is the expected time in minutes.
	ExpectedMin float64 `json:"expected_min" validate:"gte=0,lte=10000000000"`
	// LowMin is the shortest time, in minutes, that the uncertainty of the inputs allows.
	LowMin float64 `json:"low_min" validate:"gte=0,lte=10000000000"`
	// HighMin is the longest time, in minutes, that the uncertainty of the inputs allows.
	HighMin float64 `json:"high_min" validate:"gte=0,lte=10000000000"`
	// MeanCurrentA is the mean current on the way, in amperes.
	MeanCurrentA float64 `json:"mean_current_a" validate:"gte=0,lte=1000000"`
}

// Resistor is a pack run down to storage charge through a resistor.
type Resistor struct {
	// ResistanceOhm is the resistance, a value of the series E24 (IEC 60063), in ohms.
	ResistanceOhm float64 `json:"resistance_ohm" validate:"gte=0,lte=1000000000"`
	// RatingW is the least power rating to buy, in watts: at least twice what it has to give off at the start.
	RatingW float64 `json:"rating_w" validate:"gte=0,lte=1000000000"`
	// DissipationW is what it gives off at the start, in watts.
	DissipationW float64 `json:"dissipation_w" validate:"gte=0,lte=1000000000"`
	// StartCurrentA is the current at the start, in amperes.
	StartCurrentA float64 `json:"start_current_a" validate:"gte=0,lte=1000000"`
	// EndCurrentA is the current at the end, in amperes.
	EndCurrentA float64 `json:"end_current_a" validate:"gte=0,lte=1000000"`
	// StopVoltageV is the voltage of the pack, with the resistor connected, at which to disconnect it, in volts.
	StopVoltageV float64 `json:"stop_voltage_v" validate:"gte=0,lte=192"`
	// ExpectedMin is the expected time in minutes.
	ExpectedMin float64 `json:"expected_min" validate:"gte=0,lte=10000000000"`
	// LowMin is the shortest time, in minutes, that the uncertainty of the inputs allows.
	LowMin float64 `json:"low_min" validate:"gte=0,lte=10000000000"`
	// HighMin is the longest time, in minutes, that the uncertainty of the inputs allows.
	HighMin float64 `json:"high_min" validate:"gte=0,lte=10000000000"`
	// Cautions is what to watch.
	Cautions []string `json:"cautions" validate:"max=16,dive,max=1000"`
}

// Wait is how long self-discharge takes to storage charge.
type Wait struct {
	// ExpectedDays is the expected time in days.
	ExpectedDays float64 `json:"expected_days" validate:"gte=0,lte=10000000"`
	// LowDays is the shortest time in days.
	LowDays float64 `json:"low_days" validate:"gte=0,lte=10000000"`
	// HighDays is the longest time in days.
	HighDays float64 `json:"high_days" validate:"gte=0,lte=10000000"`
	// LossPercentPerMonth is the share of its charge the pack is taken to lose in a month, in percent.
	LossPercentPerMonth float64 `json:"loss_percent_per_month" validate:"gte=0,lte=100" unit:"percent per month"`
	// Source is where that share comes from.
	Source spec.Source `json:"source"`
}

// Ageing compares what a pack loses of its capacity for good while it lies, as it
// is and at storage charge.
type Ageing struct {
	// IdleDays is how long it lies, in days.
	IdleDays float64 `json:"idle_days" validate:"gte=0,lte=36500"`
	// AmbientDegC is the temperature at which it lies, in degrees Celsius.
	AmbientDegC float64 `json:"ambient_degc" validate:"gte=-60,lte=150"`
	// AsItStands is the loss of the cell that loses most, left as it is.
	AsItStands Loss `json:"as_it_stands"`
	// AtStorageCharge is the loss at storage charge.
	AtStorageCharge Loss `json:"at_storage_charge"`
	// Says how far the figures are to be trusted.
	Says string `json:"says" validate:"max=1000"`
	// Source is where the formula comes from.
	Source spec.Source `json:"source"`
}

// Loss is a loss of capacity as an honest range.
type Loss struct {
	// CellVoltageV is the rested voltage that it is worked out for, in volts: that of a cell of the kind that was studied, at the same state of charge where the chemistry is another.
	CellVoltageV float64 `json:"cell_voltage_v" validate:"gte=0,lte=6"`
	// ExpectedPercent is the expected loss in percent of the capacity.
	ExpectedPercent float64 `json:"expected_percent" validate:"gte=0,lte=100"`
	// LowPercent is the least loss to be expected, in percent of the capacity.
	LowPercent float64 `json:"low_percent" validate:"gte=0,lte=100"`
	// HighPercent is the most to be expected, in percent of the capacity.
	HighPercent float64 `json:"high_percent" validate:"gte=0,lte=100"`
}
