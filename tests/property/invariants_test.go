package property

import (
	"math"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/spec"
)

// sums allows for rounding each part to nine digits.
const sums = 1e-7

// The numbers in the names are those of the invariants of the contract.
func TestInvariantsOfOnePlan(t *testing.T) {
	t.Parallel()
	pl, v := planner(), spec.NewValidator()
	rapid.Check(t, func(t *rapid.T) {
		q := drawRequest(t)
		if len(v.Validate(q)) > 0 {
			t.Skip("not a valid request")
		}
		p := pl.Plan(q)
		invariant1(t, p)
		finite(t, p)
		if found(p, "internal-fault") {
			body, _ := json.Marshal(q)
			t.Fatalf("a plan without a current has no rule: %s", body)
		}
		if p.Verdict == spec.VerdictStop {
			return
		}
		invariant2(t, q, p)
		invariant3(t, q, p)
		invariant4(t, q, p)
		invariant5(t, p)
		d := p.Duration
		assert.LessOrEqual(t, d.LowMin, d.ExpectedMin, "7")
		assert.LessOrEqual(t, d.ExpectedMin, d.HighMin, "7")
		if g := q.Goal; g != nil && g.ReadyInMin != nil && !found(p, "deadline-cannot-be-met") {
			if d.HighMin > *g.ReadyInMin*(1+1e-8) {
				body, _ := json.Marshal(q)
				t.Fatalf("ready in %v min, but the long end is %v: %s", *g.ReadyInMin, d.HighMin, body)
			}
		}
	})
}

func invariant1(t *rapid.T, p *charge.Plan) {
	stop := p.Verdict == spec.VerdictStop
	assert.Equal(t, stop, p.Settings == nil, "1 settings")
	assert.Equal(t, stop, len(p.Phases) == 0, "1 phases")
	if stop {
		assert.Empty(t, p.Curve, "1 curve")
		assert.Empty(t, p.Limits, "no current to copy")
	}
	worst := 0
	for _, f := range p.Findings {
		worst = max(worst, f.Severity.Rank())
		if f.Severity == spec.Stop {
			assert.NotEmpty(t, f.Remedy, "1 remedy of %s", f.Rule)
		}
	}
	assert.Equal(t, map[int]spec.Verdict{0: spec.VerdictClear, 1: spec.VerdictClear, 2: spec.VerdictCaution, 3: spec.VerdictStop}[worst], p.Verdict)
}

func invariant2(t *rapid.T, q *charge.Request, p *charge.Plan) {
	binding := 0
	if s := p.Settings; s.RecoveryCurrentA != nil {
		assert.LessOrEqual(t, *s.RecoveryCurrentA, s.CurrentA, "a recovery is gentler than what follows")
	}
	for _, l := range p.Limits {
		assert.LessOrEqual(t, p.Settings.CurrentA, l.CurrentA, "2 %s", l.Name)
		if l.Binding {
			binding++
		}
	}
	assert.Equal(t, 1, binding, "2")
	// A current that was rounded up to the charger's step is no exception.
	assert.LessOrEqual(t, p.Settings.CurrentA, q.Charger.MaxChargeCurrentA, "2 charger")
	if r := q.Pack.MaxChargeCRate; r != nil && (q.Surroundings == nil || len(q.Surroundings.ParallelBoard) == 0) {
		assert.LessOrEqual(t, p.Settings.CurrentA, *r*q.Pack.CapacityMAh/1000*(1+1e-9), "2 label")
	}
}

func invariant3(t *rapid.T, q *charge.Request, p *charge.Plan) {
	if s := p.Settings; s.EndVoltageV != nil {
		assert.InEpsilon(t, float64(s.CellsSeries)**s.EndVoltagePerCellV, *s.EndVoltageV, 1e-8, "3")
		full := map[spec.Chemistry]float64{spec.LiPo: 4.2, spec.LiHV: 4.35, spec.LiIon: 4.2, spec.LiFePO4: 3.65}
		assert.LessOrEqual(t, *s.EndVoltagePerCellV, full[q.Pack.Chemistry], "3")
	}
}

func invariant4(t *rapid.T, q *charge.Request, p *charge.Plan) {
	assert.Len(t, p.Curve, q.CurvePoints)
	last := -1.0
	for _, x := range p.Curve {
		assert.GreaterOrEqual(t, x.ChargePercent, 0.0, "4")
		assert.LessOrEqual(t, x.ChargePercent, 100.0, "4")
		assert.GreaterOrEqual(t, x.TS, last)
		last = x.TS
		if x.HighestCellV == nil {
			continue
		}
		// A cell that already rests above the target cannot be brought down by
		// charging; nothing flows then.
		if *x.HighestCellV > *p.Settings.EndVoltagePerCellV+0.001 {
			assert.Zero(t, x.CurrentA, "4")
		}
		assert.LessOrEqual(t, *x.LowestCellV, *x.HighestCellV)
	}
	if n := len(p.Curve); n > 1 {
		assert.Zero(t, p.Curve[0].TS)
		assert.InDelta(t, p.Duration.ExpectedMin*60, p.Curve[n-1].TS, 1e-6*p.Duration.ExpectedMin*60+1e-9)
	}
}

func invariant5(t *rapid.T, p *charge.Plan) {
	var charged, minutes float64
	for _, x := range p.Phases {
		charged += x.ChargeMAh
		minutes += x.DurationMin
	}
	assert.InDelta(t, *p.ChargeMAh, charged, sums**p.ChargeMAh, "5 charge")
	assert.InDelta(t, p.Duration.ExpectedMin, minutes, sums*p.Duration.ExpectedMin, "5 time")
	assert.InDelta(t, *p.EnergyWh, *p.StoredWh+*p.HeatWh, sums**p.EnergyWh, "5 energy")
}

// finite: no answer holds a number that JSON cannot.
func finite(t *rapid.T, p *charge.Plan) {
	_, err := json.Marshal(p)
	require.NoError(t, err)
	if p.Duration != nil {
		assert.False(t, math.IsNaN(p.Duration.HighMin))
	}
}

func found(p *charge.Plan, id string) bool {
	for _, f := range p.Findings {
		if f.Rule == id {
			return true
		}
	}
	return false
}

// 8: the same request gives the same bytes, also from another planner; with a
// trace too, which leaves the rest as it is.
func TestSameRequestSameBytes(t *testing.T) {
	t.Parallel()
	a, b := planner(), planner()
	rapid.Check(t, func(t *rapid.T) {
		q := drawRequest(t)
		one, err := json.Marshal(a.Plan(q))
		require.NoError(t, err)
		other, err := json.Marshal(b.Plan(drawRequest(t)))
		require.NoError(t, err)
		require.NotEmpty(t, other)
		again, err := json.Marshal(b.Plan(q))
		require.NoError(t, err)
		assert.Equal(t, string(one), string(again))
		if rapid.IntRange(0, 9).Draw(t, "traced") > 0 {
			return // a trace takes many times as long
		}
		traced := a.Explain(q)
		full, err := json.Marshal(traced)
		require.NoError(t, err)
		fullAgain, err := json.Marshal(b.Explain(q))
		require.NoError(t, err)
		assert.Equal(t, string(full), string(fullAgain))
		traced.Trace = nil
		rest, err := json.Marshal(traced)
		require.NoError(t, err)
		assert.Equal(t, string(one), string(rest))
	})
}
