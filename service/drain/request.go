package drain

import (
	"fmt"
	"strconv"

	"github.com/wattkeel/wattkeel/service/spec"
)

// Request asks how long a pack may be left with something connected.
type Request struct {
	// Pack is the pack that is left.
	Pack spec.Pack `json:"pack" validate:"required"`
	// Drains lists what stays connected, at most 32. Left out or empty, the pack loses charge by itself alone.
	Drains []Drain `json:"drains,omitzero" validate:"omitempty,max=32,dive"`
	// IdleDays is for how many days it will be left, 0 to 36,500. Left out, 30 are assumed for what the drains leave behind, and rules about the time are not evaluated.
	IdleDays *float64 `json:"idle_days,omitempty" validate:"omitempty,gte=0,lte=36500"`
	// AsOf is the day on which the request is judged, for rules about age. Left out, those rules are not evaluated.
	AsOf spec.Date `json:"as_of,omitempty" validate:"omitempty,datetime=2006-01-02"`
}

// Drain is one thing that stays connected and draws a steady current.
type Drain struct {
	// CurrentMA is the current it draws, in milliamperes, 0 to 100,000.
	CurrentMA float64 `json:"current_ma" validate:"gte=0,lte=100000"`
	// Cells lists the series groups it draws from, each at most once, 1 being the one at the common (negative) wire: [1, 2] for a meter that takes its power from the first two cells of the balance lead. Left out, it draws from the whole pack.
	Cells []int `json:"cells,omitzero" validate:"omitempty,min=1,max=32,unique,dive,gte=1,lte=32" unit:"numbers of cells"`
}

// Check reports contradictions between the fields of the request.
func (q *Request) Check(at string, r *spec.Report) {
	q.Pack.Check(at+"/pack", r)
	q.Pack.CheckAsOf(at+"/pack", q.AsOf, r)
	for i := range q.Drains {
		for j, n := range q.Drains[i].Cells {
			if q.Pack.CellsSeries >= 1 && n > q.Pack.CellsSeries {
				r.Add(at+"/drains/"+strconv.Itoa(i)+"/cells/"+strconv.Itoa(j), "cell-of-the-pack",
					fmt.Sprintf("cell %d is listed, but the pack has cells_series %d; number the cells from 1 at the common (negative) wire", n, q.Pack.CellsSeries))
			}
		}
	}
}

// ampA is what all drains together draw from one series group, in amperes; cell
// counts from 0.
func (q *Request) ampA(cell int) float64 {
	milli := 0.0
	for i := range q.Drains {
		if d := &q.Drains[i]; d.draws(cell) {
			milli += d.CurrentMA
		}
	}
	return milli / 1000
}

// draws reports whether the drain draws from a series group.
func (d *Drain) draws(cell int) bool {
	if d.Cells == nil {
		return true
	}
	for _, n := range d.Cells {
		if n == cell+1 {
			return true
		}
	}
	return false
}
