package charge

import (
	"fmt"

	"github.com/wattkeel/wattkeel/service/spec"
)

// Request asks how to charge one pack on one charger.
type Request struct {
	// Pack is the pack to charge.
	Pack spec.Pack `json:"pack" validate:"required"`
	// Charger is the charger to charge it on.
	Charger spec.Charger `json:"charger" validate:"required"`
	// Goal says how fast to charge. Left out, the pace is everyday.
	Goal *spec.Goal `json:"goal,omitempty" validate:"omitempty"`
	// TargetCellVoltageV ends the charge short of full, at this voltage a cell in volts, 2 to 5. Left out, the pack is charged to full.
	TargetCellVoltageV *float64 `json:"target_cell_voltage_v,omitempty" validate:"omitempty,gte=2,lte=5"`
	// TaperCRate is the current at which the constant-voltage phase ends, as a multiple of the rated capacity per hour, 0.01 to 0.2. Left out, 0.1 is assumed.
	TaperCRate *float64 `json:"taper_c_rate,omitempty" validate:"omitempty,gte=0.01,lte=0.2"`
	// Surroundings is where and how the charge happens.
	Surroundings *spec.Surroundings `json:"surroundings,omitempty" validate:"omitempty"`
	// EnergyPricePerKWh is the price of energy at the wall per kilowatt hour, in any currency, 0 to 1,000,000.
	EnergyPricePerKWh *float64 `json:"energy_price_per_kwh,omitempty" validate:"omitempty,gte=0,lte=1000000"`
	// CurvePoints is the number of samples of the curve to return, 0 to 500. Left out, 0.
	CurvePoints int `json:"curve_points,omitzero" validate:"omitempty,gte=0,lte=500" unit:"samples"`
	// AsOf is the day on which the request is judged, for rules about age. Left out, those rules are not evaluated.
	AsOf spec.Date `json:"as_of,omitempty" validate:"omitempty,datetime=2006-01-02"`
}

// Check reports contradictions between the fields of the request.
func (q *Request) Check(at string, r *spec.Report) {
	q.Pack.Check(at+"/pack", r)
	q.Pack.CheckAsOf(at+"/pack", q.AsOf, r)
	q.Charger.Check(at+"/charger", r)
	if q.Goal != nil {
		q.Goal.Check(at+"/goal", r)
	}
	if q.Surroundings != nil {
		q.Surroundings.Check(at+"/surroundings", r)
	}
	if q.Pack.Chemistry == spec.NiMH && q.TargetCellVoltageV != nil {
		r.Add(at+"/target_cell_voltage_v", "no-end-voltage", fmt.Sprintf("target_cell_voltage_v is %s, but a nimh charge has no end voltage: it ends by its voltage drop, its temperature slope or its time; leave the field out", spec.Plain(*q.TargetCellVoltageV)))
	}
	if q.Pack.Chemistry == spec.NiMH && q.TaperCRate != nil {
		r.Add(at+"/taper_c_rate", "no-taper", "a nimh charge has no constant-voltage phase and so no taper current; leave taper_c_rate out")
	}
}
