package runtime

import (
	"fmt"

	"github.com/wattkeel/wattkeel/service/spec"
)

// Request asks how long a pack runs a load.
type Request struct {
	// Pack is the pack that drives the load. Where neither voltages nor a percentage say how full it is, it is taken as just charged.
	Pack spec.Pack `json:"pack" validate:"required"`
	// Load is what it drives.
	Load spec.Load `json:"load" validate:"required"`
	// Cutoff says where the run ends. Left out, it ends at the chemistry's lowest voltage under load or with 20 % left, whichever comes first.
	Cutoff *Cutoff `json:"cutoff,omitempty" validate:"omitempty"`
	// AmbientDegC is the temperature around the pack in degrees Celsius, -60 to 100.
	AmbientDegC *float64 `json:"ambient_degc,omitempty" validate:"omitempty,gte=-60,lte=100"`
	// SessionMin is how long the load is to run that day, all in all, in minutes, 0.1 to 100,000. Given, the answer says how many such packs that takes.
	SessionMin *float64 `json:"session_min,omitempty" validate:"omitempty,gte=0.1,lte=100000"`
	// CurvePoints is the number of samples of the curve to return, 0 to 500. Left out, 0.
	CurvePoints int `json:"curve_points,omitzero" validate:"omitempty,gte=0,lte=500" unit:"samples"`
	// AsOf is the day on which the request is judged, for rules about age. Left out, those rules are not evaluated.
	AsOf spec.Date `json:"as_of,omitempty" validate:"omitempty,datetime=2006-01-02"`
}

// Cutoff says where a run ends.
type Cutoff struct {
	// CellVoltageV is the voltage of the weakest cell, under load, at which the run ends, in volts, 0.1 to 5. Left out, it is the chemistry's lowest voltage under load.
	CellVoltageV *float64 `json:"cell_voltage_v,omitempty" validate:"omitempty,gte=0.1,lte=5"`
	// ReservePercent is what the emptiest cell keeps of its capacity, in percent, 0 to 90: the run ends there. Left out beside a cell_voltage_v, it is 0.
	ReservePercent *float64 `json:"reserve_percent,omitempty" validate:"omitempty,gte=0,lte=90"`
}

// mostSegments is how many segments of a cycle are followed one by one, as has to
// be where one of them is a power.
const mostSegments = 5000

// Check reports contradictions between the fields of the request.
func (q *Request) Check(at string, r *spec.Report) {
	q.Pack.Check(at+"/pack", r)
	q.Pack.CheckAsOf(at+"/pack", q.AsOf, r)
	q.Load.Check(at+"/load", r)
	if n := q.segments(); n > mostSegments {
		r.Add(at+"/load/segments", "cycle-repeats-too-often", fmt.Sprintf("the pack would last for about %s segments; a cycle with a power_w in it is followed for at most %s: write fewer and longer segments, write current_a in place of power_w, or write the mean as kind %s",
			spec.Short(n), spec.Plain(mostSegments), spec.ConstantPower))
	}
}

// segments is at most how many segments of a cycle with a power in it the pack can
// last for: no cell here holds its charge at more than 5 V, nor more than a tenth more
// than its label or its measurement says.
func (q *Request) segments() float64 {
	const mostV, most = 5.0, 1.1
	power, drawnC := false, 0.0
	for i := range q.Load.Segments {
		s := &q.Load.Segments[i]
		switch {
		case s.PowerW != nil && q.Pack.CellsSeries > 0:
			power = power || *s.PowerW > 0
			drawnC += s.DurationS * *s.PowerW / (mostV * float64(q.Pack.CellsSeries))
		case s.CurrentA != nil:
			drawnC += s.DurationS * *s.CurrentA
		}
	}
	if q.Load.Kind != spec.Cycle || !power || drawnC <= 0 {
		return 0
	}
	mah := q.Pack.CapacityMAh
	if m := q.Pack.MeasuredCapacityMAh; m != nil {
		mah = max(mah, *m)
	}
	return mah * milliampHour * most / drawnC * float64(len(q.Load.Segments))
}
