// Package check answers what is wrong with a pack: alone, on a charger, with
// the settings somebody means to use, in the place where it will stand.
package check

import (
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// Request asks to check one pack.
type Request struct {
	// Pack is the pack to check.
	Pack spec.Pack `json:"pack" validate:"required"`
	// Charger is the charger it would go on. Left out, rules about the charger are not evaluated.
	Charger *spec.Charger `json:"charger,omitempty" validate:"omitempty"`
	// Settings is what somebody means to set on the charger. Left out, rules about settings are not evaluated.
	Settings *spec.IntendedSettings `json:"settings,omitempty" validate:"omitempty"`
	// Surroundings is where and how the charge would happen.
	Surroundings *spec.Surroundings `json:"surroundings,omitempty" validate:"omitempty"`
	// IdleDays is for how many days the pack will be left as it is, 0 to 36,500.
	IdleDays *float64 `json:"idle_days,omitempty" validate:"omitempty,gte=0,lte=36500"`
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
	if q.Pack.Chemistry == spec.NiMH && q.Settings != nil && q.Settings.EndVoltagePerCellV != nil {
		r.Add(at+"/settings/end_voltage_per_cell_v", "no-end-voltage", "a nimh charge has no end voltage: it ends by its voltage drop, its temperature slope or its time; leave end_voltage_per_cell_v out")
	}
	if q.Surroundings != nil {
		q.Surroundings.Check(at+"/surroundings", r)
	}
}

// Answer is what the rules found.
type Answer struct {
	// Verdict is the worst severity among the findings: clear, caution or stop.
	Verdict spec.Verdict `json:"verdict"`
	// Findings lists what the rules found, the worst first.
	Findings []spec.Finding `json:"findings" validate:"max=2000"`
	// NotEvaluated lists the rules that could not be judged.
	NotEvaluated []spec.NotEvaluated `json:"not_evaluated" validate:"max=1000"`
	// Versions says which service, rules and data made this answer.
	Versions spec.Versions `json:"versions"`
}

// Checker answers pack checks by the rules. It is safe for concurrent
// use.
type Checker struct{ judge Judge }

// Judge says what the rules find, as charge.Planner does.
type Judge interface {
	Judge(f rule.Facts, idle bool) ([]spec.Finding, []spec.NotEvaluated)
}

// NewChecker builds a Checker.
func NewChecker(j Judge) *Checker { return &Checker{judge: j} }

// Check answers a request that has passed spec.Validator. It never fails.
func (c *Checker) Check(q *Request) *Answer {
	f := rule.Facts{
		Pack: &q.Pack, Charger: q.Charger, Surroundings: q.Surroundings, IdleDays: q.IdleDays, AsOf: q.AsOf,
	}
	if s := q.Settings; s != nil {
		f.ProgramChemistry, f.ProgramCells = s.Chemistry, s.CellsSeries
		if s.CurrentA != nil {
			f.Current = &rule.Given{Value: *s.CurrentA, At: "/settings/current_a", Asked: true}
		}
		if s.EndVoltagePerCellV != nil {
			f.EndCellV = &rule.Given{Value: *s.EndVoltagePerCellV, At: "/settings/end_voltage_per_cell_v"}
		}
	}
	a := &Answer{Versions: rule.Versions()}
	a.Findings, a.NotEvaluated = c.judge.Judge(f, true)
	a.Verdict = spec.VerdictOf(a.Findings)
	return a
}
