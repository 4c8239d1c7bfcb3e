package transport

import "github.com/wattkeel/wattkeel/service/spec"

// Answer says how the packs may travel.
type Answer struct {
	// Verdict is the worst severity among the findings: clear, caution or stop. The carrier may still refuse what is clear here.
	Verdict spec.Verdict `json:"verdict"`
	// Packs holds what was worked out for each pack, in the order of the request.
	Packs []PackResult `json:"packs" validate:"max=200"`
	// EnergyWh is the energy of all packs together, in watt hours.
	EnergyWh float64 `json:"energy_wh" validate:"gte=0,lte=1000000000000"`
	// Category is the strictest category among the packs.
	Category Category `json:"category"`
	// Findings lists what the rules found, the worst first; each points at the pack it speaks of.
	Findings []spec.Finding `json:"findings" validate:"max=4000"`
	// NotEvaluated lists the rules that could not be judged, each once, with what is missing of every pack.
	NotEvaluated []spec.NotEvaluated `json:"not_evaluated" validate:"max=100"`
	// Assumed lists each value that the request leaves out and that was assumed.
	Assumed []spec.Assumed `json:"assumed" validate:"max=1000"`
	// Cautions lists what to see to whatever was found.
	Cautions []string `json:"cautions" validate:"max=16,dive,max=500"`
	// Versions says which service, rules and data made this answer.
	Versions spec.Versions `json:"versions"`
}

// PackResult is what was worked out for one pack.
type PackResult struct {
	// Index is the place of the pack in the request, from 0.
	Index int `json:"index" validate:"gte=0,lte=199" unit:"place in a list"`
	// ID is the keeper's own name for the pack, where the request gives one.
	ID string `json:"id,omitempty" validate:"max=128"`
	// Verdict is the worst severity among the findings about this pack.
	Verdict spec.Verdict `json:"verdict"`
	// EnergyWh is the rated energy in watt hours: rated amp hours times nominal volts. Where the label's figures differ it is the largest of them.
	EnergyWh float64 `json:"energy_wh" validate:"gte=0,lte=10000000000"`
	// EnergyFrom says which figures it comes from.
	EnergyFrom EnergyFrom `json:"energy_from"`
	// CellEnergyWh is the energy of a single cell in watt hours; of a series group where cells_parallel is left out.
	CellEnergyWh float64 `json:"cell_energy_wh" validate:"gte=0,lte=10000000000"`
	// ChargePercent is the state of charge in percent, 0 to 100: as given, or read off the rested voltage. Absent where it is not known.
	ChargePercent *float64 `json:"charge_percent,omitempty" validate:"gte=0,lte=100"`
	// MostChargePercent is the highest state of charge that is likely, in percent, 0 to 100, by which the pack is judged: the fullest cell, with the uncertainty of a rested voltage. Absent where it is not known.
	MostChargePercent *float64 `json:"most_charge_percent,omitempty" validate:"gte=0,lte=100"`
	// Category is what the rules of transport take the pack for.
	Category Category `json:"category"`
}

// EnergyFrom says which figures an energy comes from.
type EnergyFrom string

const (
	PrintedEnergy    EnergyFrom = "printed_energy"    // the watt hours on the label
	PrintedVoltage   EnergyFrom = "printed_voltage"   // the nominal voltage on the label times the capacity
	ChemistryNominal EnergyFrom = "chemistry_nominal" // the nominal voltage of the chemistry's cells times their number and the capacity
)

// Enum lists them.
func (EnergyFrom) Enum() []string {
	return []string{string(PrintedEnergy), string(PrintedVoltage), string(ChemistryNominal)}
}

// Category is what the rules of transport take a pack for, by its energy alone: it
// is no permission.
type Category string

const (
	NotLithium     Category = "not_lithium"           // nimh: the limits on energy and charge do not apply
	PassengerFree  Category = "passenger_to_100_wh"   // flies with a passenger without the airline's approval
	PassengerAsk   Category = "passenger_to_160_wh"   // flies with a passenger with the airline's approval
	PassengerNever Category = "passenger_over_160_wh" // does not fly with a passenger
	SmallBattery   Category = "small_battery"         // ships with the exceptions for small batteries: up to 100 Wh, cells up to 20 Wh
	SmallByRoad    Category = "small_battery_by_road" // ships with them by road alone: up to 300 Wh, cells up to 60 Wh
	FullyRegulated Category = "fully_regulated"       // ships as dangerous goods of class 9
)

// Enum lists the categories, those of a mode the mildest first.
func (Category) Enum() []string {
	return []string{
		string(NotLithium), string(PassengerFree), string(PassengerAsk), string(PassengerNever),
		string(SmallBattery), string(SmallByRoad), string(FullyRegulated),
	}
}
