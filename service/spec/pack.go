package spec

import "fmt"

// Pack is one rechargeable pack, as its label, its meter and its keeper
// describe it.
type Pack struct {
	// ID is the keeper's own name for the pack, up to 128 characters.
	ID string `json:"id,omitempty" validate:"omitempty,max=128"`
	// Chemistry is the cell chemistry on the label.
	Chemistry Chemistry `json:"chemistry" validate:"required,enum"`
	// CellsSeries is the number of cells (or groups of parallel cells) in series, 1 to 32: 3 for a "3S" pack.
	CellsSeries int `json:"cells_series" validate:"required,gte=1,lte=32" unit:"cells"`
	// CellsParallel is the number of cells side by side in each series group, 1 to 32. For the keeper's own use: capacity_mah is that of the whole pack, and nothing is worked out from this.
	CellsParallel *int `json:"cells_parallel,omitempty" validate:"omitempty,gte=1,lte=32" unit:"cells"`
	// CapacityMAh is the rated capacity of the whole pack in milliampere hours, 10 to 1,000,000.
	CapacityMAh float64 `json:"capacity_mah" validate:"required,gte=10,lte=1000000"`
	// MaxChargeCRate is the highest charge rate on the label, as a multiple of the rated capacity per hour, 0.01 to 100.
	MaxChargeCRate *float64 `json:"max_charge_c_rate,omitempty" validate:"omitempty,gte=0.01,lte=100"`
	// MaxDischargeCRate is the continuous discharge rate on the label, as a multiple of the rated capacity per hour, 0.01 to 1000.
	MaxDischargeCRate *float64 `json:"max_discharge_c_rate,omitempty" validate:"omitempty,gte=0.01,lte=1000"`
	// BurstDischargeCRate is the burst discharge rate on the label, as a multiple of the rated capacity per hour, 0.01 to 2000.
	BurstDischargeCRate *float64 `json:"burst_discharge_c_rate,omitempty" validate:"omitempty,gte=0.01,lte=2000"`
	// CellVoltagesV are the rested voltages of the series groups in volts, 0 to 6 each, in order from the common (negative) wire: one for each of cells_series.
	CellVoltagesV []float64 `json:"cell_voltages_v,omitzero" validate:"omitempty,max=32,dive,gte=0,lte=6"`
	// ChargePercent is the state of charge in percent, 0 to 100, in place of voltages.
	ChargePercent *float64 `json:"charge_percent,omitempty" validate:"omitempty,gte=0,lte=100"`
	// PackVoltageV is the rested voltage of the whole pack in volts, 0 to 192, in place of cell voltages.
	PackVoltageV *float64 `json:"pack_voltage_v,omitempty" validate:"omitempty,gte=0,lte=192"`
	// CellResistancesMOhm are the internal resistances of the series groups in milliohms, 0.01 to 10,000 each, in the same order as the voltages, read at the pack's own temperature: they are used as they are.
	CellResistancesMOhm []float64 `json:"cell_resistances_mohm,omitzero" validate:"omitempty,max=32,dive,gte=0.01,lte=10000"`
	// ResistanceMethod says how the resistances were measured. Left out, ac_1khz is assumed.
	ResistanceMethod ResistanceMethod `json:"resistance_method,omitempty" validate:"omitempty,enum"`
	// TemperatureDegC is the temperature of the pack in degrees Celsius, -60 to 150.
	TemperatureDegC *float64 `json:"temperature_degc,omitempty" validate:"omitempty,gte=-60,lte=150"`
	// Cycles is the number of charges the pack has had, 0 to 100,000.
	Cycles *int `json:"cycles,omitempty" validate:"omitempty,gte=0,lte=100000" unit:"charges"`
	// MadeOn is the date of manufacture.
	MadeOn Date `json:"made_on,omitempty" validate:"omitempty,datetime=2006-01-02"`
	// MeasuredCapacityMAh is the capacity last measured in milliampere hours, 1 to 1,000,000.
	MeasuredCapacityMAh *float64 `json:"measured_capacity_mah,omitempty" validate:"omitempty,gte=1,lte=1000000"`
	// MassG is the mass of the pack in grams, 0.1 to 100,000.
	MassG *float64 `json:"mass_g,omitempty" validate:"omitempty,gte=0.1,lte=100000"`
	// MainLead describes the pack's main lead and connector.
	MainLead *MainLead `json:"main_lead,omitempty" validate:"omitempty"`
	// NominalVoltageV is the nominal voltage on the label in volts, 0.5 to 192.
	NominalVoltageV *float64 `json:"nominal_voltage_v,omitempty" validate:"omitempty,gte=0.5,lte=192"`
	// EnergyWh is the energy on the label in watt hours, 0.01 to 100,000.
	EnergyWh *float64 `json:"energy_wh,omitempty" validate:"omitempty,gte=0.01,lte=100000"`
	// Condition lists what has happened to the pack, each at most once. An empty list says that somebody looked and found nothing; left out, nobody has said.
	Condition []Condition `json:"condition,omitzero" validate:"omitempty,max=9,unique,dive,enum"`
}

// MainLead is the lead that carries the pack's current, and its connector.
type MainLead struct {
	// WireAWG is the American wire gauge number, 0 to 40.
	WireAWG *int `json:"wire_awg,omitempty" validate:"omitempty,gte=0,lte=40"`
	// LengthMM is the length of the lead, one way, in millimeters, 1 to 10,000. A run-time estimate says what is lost in it; nothing in a charge plan is worked out from it.
	LengthMM *float64 `json:"length_mm,omitempty" validate:"omitempty,gte=1,lte=10000"`
	// ConnectorMaxCurrentA is the connector's continuous rating in amperes, 0.1 to 1000.
	ConnectorMaxCurrentA *float64 `json:"connector_max_current_a,omitempty" validate:"omitempty,gte=0.1,lte=1000"`
}

// Has reports whether the condition is listed.
func (p *Pack) Has(c Condition) bool {
	for _, x := range p.Condition {
		if x == c {
			return true
		}
	}
	return false
}

// Check reports contradictions between the fields of a pack found at the
// JSON Pointer at.
func (p *Pack) Check(at string, r *Report) {
	starts := 0
	if p.CellVoltagesV != nil {
		starts++
	}
	if p.ChargePercent != nil {
		starts++
	}
	if p.PackVoltageV != nil {
		starts++
	}
	if starts > 1 {
		r.Add(at, "one-start-of-charge", "cell_voltages_v, pack_voltage_v and charge_percent each say how full the pack is; keep the one you measured and leave the others out")
	}
	p.checkCount(at, "cell_voltages_v", "rested voltage", p.CellVoltagesV, r)
	p.checkCount(at, "cell_resistances_mohm", "resistance", p.CellResistancesMOhm, r)
	if p.PackVoltageV != nil && p.CellsSeries >= 1 && *p.PackVoltageV > 6*float64(p.CellsSeries) {
		r.Add(at+"/pack_voltage_v", "voltage-per-cell", fmt.Sprintf("pack_voltage_v is %s for cells_series %d, which is %s V a cell; no cell here reaches 6 V: correct the voltage or the cell count",
			Plain(*p.PackVoltageV), p.CellsSeries, Plain(*p.PackVoltageV/float64(p.CellsSeries))))
	}
}

func (p *Pack) checkCount(at, field, what string, list []float64, r *Report) {
	if list == nil || p.CellsSeries == 0 || len(list) == p.CellsSeries {
		return
	}
	values := "values"
	if len(list) == 1 {
		values = "value"
	}
	r.Add(at+"/"+field, "count-matches-cells", fmt.Sprintf("%s has %d %s but cells_series is %d; write one %s for each cell, in order from the common (negative) wire", field, len(list), values, p.CellsSeries, what))
}

// CheckAsOf reports a date of manufacture that lies after the day the request
// is judged on.
func (p *Pack) CheckAsOf(at string, asOf Date, r *Report) {
	made, ok1 := p.MadeOn.Day()
	day, ok2 := asOf.Day()
	if ok1 && ok2 && made > day {
		r.Add(at+"/made_on", "made-before-as-of", fmt.Sprintf("made_on is %s, after as_of %s; correct one of them", p.MadeOn, asOf))
	}
}
