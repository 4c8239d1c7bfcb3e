// Package chemistry answers which voltages, limits and curves are used for a
// chemistry, each with its source.
package chemistry

import (
	"math"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// List is every chemistry.
type List struct {
	// Version is the version of the chemistry data.
	Version string `json:"version" validate:"max=32"`
	// Chemistries lists every chemistry.
	Chemistries []Doc `json:"chemistries" validate:"max=64"`
}

// Doc is one chemistry.
type Doc struct {
	// Name is the chemistry's name in requests.
	Name spec.Chemistry `json:"name"`
	// NominalCellV is the nominal voltage of a cell in volts.
	NominalCellV float64 `json:"nominal_cell_v" validate:"gte=0,lte=6"`
	// FullCellV is the end-of-charge voltage of a cell in volts. Absent for nimh.
	FullCellV *float64 `json:"full_cell_v,omitempty" validate:"gte=0,lte=6"`
	// StorageCellV is the resting voltage of a cell at storage charge in volts. Absent for nimh.
	StorageCellV *float64 `json:"storage_cell_v,omitempty" validate:"gte=0,lte=6"`
	// SafeStartCellV is the resting voltage in volts below which a charge begins at the recovery rate. Absent for nimh.
	SafeStartCellV *float64 `json:"safe_start_cell_v,omitempty" validate:"gte=0,lte=6"`
	// FloorCellV is the resting voltage in volts below which a cell must not be charged. Absent for nimh.
	FloorCellV *float64 `json:"floor_cell_v,omitempty" validate:"gte=0,lte=6"`
	// LoadedFloorCellV is the voltage under load in volts below which a cell must not be run.
	LoadedFloorCellV float64 `json:"loaded_floor_cell_v" validate:"gte=0,lte=6"`
	// DefaultChargeCRate is the charge rate taken where the label prints none, as a multiple of the rated capacity per hour.
	DefaultChargeCRate float64 `json:"default_charge_c_rate" validate:"gte=0,lte=100"`
	// ChargeTemperatureDegC lists the zones of cell temperature and the rate allowed in each, coldest first.
	ChargeTemperatureDegC []Zone `json:"charge_temperature_degc" validate:"max=32"`
	// OpenCircuit is the open-circuit curve that plans are computed on, ascending. Empty for nimh.
	OpenCircuit []Sample `json:"open_circuit" validate:"max=1000"`
	// OpenCircuitNote says why there is no curve, or what was assumed in it.
	OpenCircuitNote string `json:"open_circuit_note,omitempty" validate:"max=1000"`
	// OpenCircuitUncertaintyV is how far the curve may be off, in volts. Absent for nimh.
	OpenCircuitUncertaintyV *float64 `json:"open_circuit_uncertainty_v,omitempty" validate:"gte=0,lte=1"`
	// Resistance is what is taken where no resistance was measured, and how a reading is used.
	Resistance Resistance `json:"resistance"`
	// MonthlySelfDischargePercent is the share of its charge that a cell loses in a month at room temperature, in percent.
	MonthlySelfDischargePercent float64 `json:"monthly_self_discharge_percent" validate:"gte=0,lte=100"`
	// Sources lists the source of each value.
	Sources []Sourced `json:"sources" validate:"max=64"`
}

// Zone is a range of cell temperatures.
type Zone struct {
	// FromDegC is the lower edge in degrees Celsius. Absent where open.
	FromDegC *float64 `json:"from_degc,omitempty" validate:"gte=-60,lte=150"`
	// ToDegC is the upper edge in degrees Celsius. Absent where open. An edge belongs to the zone nearer to room temperature.
	ToDegC *float64 `json:"to_degc,omitempty" validate:"gte=-60,lte=150"`
	// MaxChargeCRate is the highest charge rate in the zone, as a multiple of the rated capacity per hour: 0 forbids charging, absent leaves it to the label.
	MaxChargeCRate *float64 `json:"max_charge_c_rate,omitempty" validate:"gte=0,lte=100"`
	// Source is where the zone comes from.
	Source spec.Source `json:"source"`
}

// Sample is one point of an open-circuit curve.
type Sample struct {
	// ChargePercent is the state of charge in percent, 0 to 100.
	ChargePercent float64 `json:"charge_percent" validate:"gte=0,lte=100"`
	// CellV is the rested voltage of a cell in volts.
	CellV float64 `json:"cell_v" validate:"gte=0,lte=6"`
}

// Resistance is what is known of a chemistry's resistance.
type Resistance struct {
	// TypicalMOhmAh is an ac_1khz reading of a cell times its capacity, in milliohm ampere hours.
	TypicalMOhmAh float64 `json:"typical_mohm_ah" validate:"gte=0,lte=10000"`
	// PolarizationFactor is what is added to an ac_1khz reading to get the quasi-steady value, as a multiple of it.
	PolarizationFactor float64 `json:"polarization_factor" validate:"gte=0,lte=100" unit:"multiples of an ac_1khz reading"`
	// PolarizationTimeS is the time constant of that part, in seconds. Absent for nimh.
	PolarizationTimeS *float64 `json:"polarization_time_s,omitempty" validate:"gte=0,lte=100000"`
}

// Sourced names the source of one value.
type Sourced struct {
	// Field is the name of the value.
	Field string `json:"field" validate:"max=64"`
	// Source is where it comes from.
	Source spec.Source `json:"source"`
}

// Describe is a chemistry as a document.
func Describe(c *cell.Chemistry) Doc {
	d := Doc{Name: c.Name, OpenCircuit: []Sample{}, OpenCircuitNote: c.NoCurve, Sources: []Sourced{}}
	value := func(field string, p cell.Param) float64 {
		d.Sources = append(d.Sources, Sourced{Field: field, Source: p.Source})
		return spec.Round9(p.Value)
	}
	optional := func(field string, p cell.Param) *float64 {
		if p.Value == 0 {
			return nil
		}
		v := value(field, p)
		return &v
	}
	d.NominalCellV = value("nominal_cell_v", c.NominalV)
	d.FullCellV = optional("full_cell_v", c.FullV)
	d.StorageCellV = optional("storage_cell_v", c.StorageV)
	d.SafeStartCellV = optional("safe_start_cell_v", c.SafeStartV)
	d.FloorCellV = optional("floor_cell_v", c.FloorV)
	d.LoadedFloorCellV = value("loaded_floor_cell_v", c.LoadedFloor)
	d.DefaultChargeCRate = value("default_charge_c_rate", c.DefaultC)
	if c.Curve != nil {
		d.OpenCircuitNote = c.CurveNote
		d.OpenCircuitUncertaintyV = optional("open_circuit", c.CurveFrom)
		for i := range c.Curve.Len() {
			s := c.Curve.At(i)
			d.OpenCircuit = append(d.OpenCircuit, Sample{spec.Round9(s.Charge * 100), spec.Round9(s.Volt)})
		}
	}
	d.Resistance.TypicalMOhmAh = spec.Round9(value("typical_mohm_ah", c.Typical) * 1000)
	if c.PolarFactor.Value > 0 {
		d.Resistance.PolarizationFactor = value("polarization_factor", c.PolarFactor)
		d.Resistance.PolarizationTimeS = optional("polarization_time_s", c.PolarTime)
	}
	d.MonthlySelfDischargePercent = spec.Round9(value("monthly_self_discharge_percent", c.Leak.Typical) * 100)
	for _, z := range c.Zones {
		d.ChargeTemperatureDegC = append(d.ChargeTemperatureDegC, Zone{
			FromDegC: finite(z.FromDegC), ToDegC: finite(z.ToDegC), MaxChargeCRate: finite(z.MostC), Source: z.Source,
		})
	}
	return d
}

func finite(x float64) *float64 {
	if math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// All is every chemistry as a document.
func All(t *cell.Table) List {
	l := List{Version: cell.DataVersion}
	for _, c := range t.All() {
		l.Chemistries = append(l.Chemistries, Describe(c))
	}
	return l
}
