package storage

import (
	"github.com/wattkeel/wattkeel/service/spec"
)

// Request asks how to put one pack away.
type Request struct {
	// Pack is the pack to store.
	Pack spec.Pack `json:"pack" validate:"required"`
	// Charger is the charger at hand. Left out, only ways without one are planned.
	Charger *spec.Charger `json:"charger,omitempty" validate:"omitempty"`
	// Load is what the pack drives in its model, to run it down with. Left out, 1 C is taken, or less where the pack does not bear it.
	Load *spec.Load `json:"load,omitempty" validate:"omitempty"`
	// IdleDays is for how many days the pack will be left, 0 to 36,500. Left out, 90 is assumed.
	IdleDays *float64 `json:"idle_days,omitempty" validate:"omitempty,gte=0,lte=36500"`
	// Surroundings is where and how it is charged or discharged, and how warm it is stored. parallel_board has no place here.
	Surroundings *spec.Surroundings `json:"surroundings,omitempty" validate:"omitempty"`
	// CurvePoints is the number of samples of the curve to return, 0 to 500. Left out, 0.
	CurvePoints int `json:"curve_points,omitzero" validate:"omitempty,gte=0,lte=500" unit:"samples"`
	// AsOf is the day on which the request is judged, for rules about age. Left out, those rules are not evaluated.
	AsOf spec.Date `json:"as_of,omitempty" validate:"omitempty,datetime=2006-01-02"`
}

// Check reports contradictions between the fields of the request.
func (q *Request) Check(at string, r *spec.Report) {
	q.Pack.Check(at+"/pack", r)
	q.Pack.CheckAsOf(at+"/pack", q.AsOf, r)
	if q.Charger != nil {
		q.Charger.Check(at+"/charger", r)
	}
	if q.Load != nil {
		q.Load.Check(at+"/load", r)
	}
	if s := q.Surroundings; s != nil {
		s.Check(at+"/surroundings", r)
		if s.ParallelBoard != nil {
			r.Add(at+"/surroundings/parallel_board", "stored-one-by-one", "packs are brought to storage charge one by one, because they come down at different rates; leave parallel_board out and ask once for each pack")
		}
	}
}
