// Package label reads what is printed on a pack, or in the title it is sold
// under: a scanner makes tokens of the text, numbers and units become
// quantities, the words beside a quantity give it its meaning, and what
// contradicts itself is named and left out. Nothing is guessed.
package label

import "github.com/wattkeel/wattkeel/service/spec"

// Request asks to read one label.
type Request struct {
	// Text is what the label or the product title says, 1 to 2000 characters (Unicode code points). Line breaks are fine, and the order does not matter.
	Text string `json:"text" validate:"required,min=1,max=2000"`
}

// Answer is what a label says.
type Answer struct {
	// Pack holds every value that could be read and is not contradicted, named as in a request's pack. With nothing missing it is a pack that can be asked about; complete it from the pack itself otherwise.
	Pack Pack `json:"pack"`
	// Read lists every value that was read with the piece of the text it came from, in the order of the text, at most 64.
	Read []Reading `json:"read" validate:"max=64"`
	// Contradictions lists what the label says against itself. The values involved are left out of the pack.
	Contradictions []Contradiction `json:"contradictions" validate:"max=32"`
	// Missing lists the fields a pack must have that could not be read.
	Missing []Missing `json:"missing" validate:"max=3"`
	// Unread lists pieces that look like values and could not be read, at most 64.
	Unread []Unread `json:"unread" validate:"max=64"`
	// Versions says which service, rules and data made this answer.
	Versions spec.Versions `json:"versions"`
}

// Pack is the part of a pack that labels carry.
type Pack struct {
	// Chemistry is the cell chemistry. It is read from words alone: a voltage can refute it, never choose it.
	Chemistry spec.Chemistry `json:"chemistry,omitempty"`
	// CellsSeries is the number of cells in series, 1 to 32.
	CellsSeries *int `json:"cells_series,omitempty" validate:"gte=1,lte=32" unit:"cells"`
	// CellsParallel is the number of cells side by side in each series group, 1 to 32.
	CellsParallel *int `json:"cells_parallel,omitempty" validate:"gte=1,lte=32" unit:"cells"`
	// CapacityMAh is the rated capacity in milliampere hours, 10 to 1,000,000.
	CapacityMAh *float64 `json:"capacity_mah,omitempty" validate:"gte=10,lte=1000000"`
	// MaxChargeCRate is the highest charge rate, as a multiple of the rated capacity per hour, 0.01 to 100.
	MaxChargeCRate *float64 `json:"max_charge_c_rate,omitempty" validate:"gte=0.01,lte=100"`
	// MaxDischargeCRate is the continuous discharge rate, as a multiple of the rated capacity per hour, 0.01 to 1000.
	MaxDischargeCRate *float64 `json:"max_discharge_c_rate,omitempty" validate:"gte=0.01,lte=1000"`
	// BurstDischargeCRate is the burst discharge rate, as a multiple of the rated capacity per hour, 0.01 to 2000.
	BurstDischargeCRate *float64 `json:"burst_discharge_c_rate,omitempty" validate:"gte=0.01,lte=2000"`
	// MassG is the mass in grams, 0.1 to 100,000.
	MassG *float64 `json:"mass_g,omitempty" validate:"gte=0.1,lte=100000"`
	// MainLead is the main lead, where its wire gauge is printed.
	MainLead *Lead `json:"main_lead,omitempty"`
	// NominalVoltageV is the nominal voltage of the pack in volts, 0.5 to 192.
	NominalVoltageV *float64 `json:"nominal_voltage_v,omitempty" validate:"gte=0.5,lte=192"`
	// EnergyWh is the energy in watt hours, 0.01 to 100,000.
	EnergyWh *float64 `json:"energy_wh,omitempty" validate:"gte=0.01,lte=100000"`
}

// Lead is the part of a main lead that labels carry.
type Lead struct {
	// WireAWG is the American wire gauge number, 0 to 40.
	WireAWG int `json:"wire_awg" validate:"gte=0,lte=40"`
}

// Piece is a piece of the text.
type Piece struct {
	// Text is the piece as it stands in the request.
	Text string `json:"text" validate:"max=2000"`
	// Start is the position of its first character, counted in Unicode code points from 0.
	Start int `json:"start" validate:"gte=0,lte=2000" unit:"characters"`
	// End is the position behind its last character, counted in Unicode code points from 0.
	End int `json:"end" validate:"gte=0,lte=2000" unit:"characters"`
}

// Reading is one value that was read, and the piece of the text it came from.
type Reading struct {
	// Field is the JSON Pointer into this answer at which the value stands, or would stand if nothing contradicted it.
	Field string `json:"field" validate:"max=64" format:"json-pointer"`
	// Value is what was read: a number in the field's unit, or the name of a chemistry.
	Value any `json:"value" validate:"gte=0,lte=1000000,max=16" unit:"that of the field" union:"number,text"`
	// How says whether the value is printed or follows from what is printed.
	How How `json:"how"`
	// Because says how a derived value follows; absent where the value is printed.
	Because string `json:"because,omitempty" validate:"max=300"`
	// InPack says whether the value stands in pack: false where it is contradicted, or another piece says the same.
	InPack bool `json:"in_pack"`
	// Text is the piece as it stands in the request.
	Text string `json:"text" validate:"max=2000"`
	// Start is the position of its first character, counted in Unicode code points from 0.
	Start int `json:"start" validate:"gte=0,lte=2000" unit:"characters"`
	// End is the position behind its last character, counted in Unicode code points from 0.
	End int `json:"end" validate:"gte=0,lte=2000" unit:"characters"`
}

// How says where a value comes from.
type How string

const (
	Printed How = "printed" // the piece says the value itself
	Derived How = "derived" // the value follows from the piece and from other readings
)

// Enum lists the ways.
func (How) Enum() []string { return []string{string(Printed), string(Derived)} }

// Contradiction is something the label says against itself.
type Contradiction struct {
	// Kind is what kind of contradiction it is.
	Kind Kind `json:"kind"`
	// Message says what contradicts what.
	Message string `json:"message" validate:"max=2000"`
	// Fields lists JSON Pointers into this answer at the values that are left out of the pack because of it.
	Fields []string `json:"fields" validate:"max=11,dive,max=64" format:"json-pointer"`
	// Pieces lists the pieces of the text involved, in the order of the text, at most 16.
	Pieces []Piece `json:"pieces" validate:"max=16"`
	// Check says what to look at to settle it.
	Check string `json:"check" validate:"max=2000"`
	// Rule is the id of the rule that found it, as listed by GET /v1/rules; absent where the text alone shows it.
	Rule string `json:"rule,omitempty" validate:"max=64" known:"rules"`
}

// Kind is a kind of contradiction.
type Kind string

const (
	DifferentValues  Kind = "different_values" // one text gives two values for one field
	AmbiguousNumber  Kind = "ambiguous_number" // a number, or the words beside it, can be read in two ways
	VoltageAgainst   Kind = "voltage"          // the voltage is not that of this chemistry and number of cells
	EnergyAgainst    Kind = "energy"           // the watt hours are not volts times amp hours
	CapacityAgainst  Kind = "capacity"         // the capacity makes sense only in another unit
	BurstAgainst     Kind = "burst_rate"       // the burst rate is below the continuous rate
	ChargeAgainst    Kind = "charge_rate"      // the charge rate is one that no such pack has
	ChemistryAgainst Kind = "chemistry"        // the words for the chemistry do not go together
)

// Enum lists the kinds.
func (Kind) Enum() []string {
	return []string{
		string(DifferentValues), string(AmbiguousNumber), string(VoltageAgainst), string(EnergyAgainst),
		string(CapacityAgainst), string(BurstAgainst), string(ChargeAgainst), string(ChemistryAgainst),
	}
}

// Missing is a field that a pack must have and that could not be read.
type Missing struct {
	// Field is the JSON Pointer into this answer at which the value would stand.
	Field string `json:"field" validate:"max=64" format:"json-pointer"`
	// LookFor says what to look for on the label or the pack.
	LookFor string `json:"look_for" validate:"max=1000"`
}

// Unread is a piece that looks like a value and could not be read.
type Unread struct {
	// Text is the piece as it stands in the request.
	Text string `json:"text" validate:"max=2000"`
	// Start is the position of its first character, counted in Unicode code points from 0.
	Start int `json:"start" validate:"gte=0,lte=2000" unit:"characters"`
	// End is the position behind its last character, counted in Unicode code points from 0.
	End int `json:"end" validate:"gte=0,lte=2000" unit:"characters"`
	// Why says why it was not read.
	Why string `json:"why" validate:"max=300"`
}
