package property

import (
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/spec"
)

// equalPack draws a healthy pack of equal cells on a charger with power to
// spare, so that one thing can be changed at a time.
func equalPack(t *rapid.T) *charge.Request {
	chem := rapid.SampledFrom([]spec.Chemistry{spec.LiPo, spec.LiHV, spec.LiIon, spec.LiFePO4}).Draw(t, "chemistry")
	percent := between(2, 85).Draw(t, "percent")
	rate, ohm := 5.0, between(2, 40).Draw(t, "milliohm")
	q := &charge.Request{
		Pack: spec.Pack{
			Chemistry: chem, CellsSeries: 3, CapacityMAh: between(500, 6000).Draw(t, "capacity"),
			MaxChargeCRate: &rate, ChargePercent: &percent, CellResistancesMOhm: []float64{ohm, ohm, ohm},
		},
		Charger: spec.Charger{
			Chemistries: []spec.Chemistry{chem}, CellsSeriesMin: 1, CellsSeriesMax: 6, MaxChargeCurrentA: 40,
			Balance: spec.BalanceWithMainLead,
		},
	}
	step := 0.001
	q.Charger.ChargeCurrentStepA = &step
	current := between(0.3, 4).Draw(t, "rate") * q.Pack.CapacityMAh / 1000
	q.Goal = &spec.Goal{CurrentA: &current}
	return q
}

func minutes(t *rapid.T, q *charge.Request) float64 {
	p := planner().Plan(q)
	if found(p, "charge-heats-pack") && p.Verdict == spec.VerdictStop {
		t.Skip("too much heat")
	}
	if p.Verdict == spec.VerdictStop {
		t.Fatalf("stopped: %+v", p.Findings)
	}
	return p.Duration.ExpectedMin
}

const hair = 1e-8 // rounding to nine digits

// 6: a larger starting charge never lengthens the charge.
func TestMoreChargeAtTheStartIsNeverSlower(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		q := equalPack(t)
		before := minutes(t, q)
		fuller := *q.Pack.ChargePercent + between(0, 10).Draw(t, "more")
		q.Pack.ChargePercent = &fuller
		assert.LessOrEqual(t, minutes(t, q), before*(1+hair))
	})
}

// 6: a larger current limit never lengthens the charge.
func TestMoreCurrentIsNeverSlower(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		q := equalPack(t)
		before := minutes(t, q)
		faster := *q.Goal.CurrentA * between(1, 1.2).Draw(t, "more")
		q.Goal.CurrentA = &faster
		assert.LessOrEqual(t, minutes(t, q), before*(1+hair))
	})
}

// 6: a lower resistance never lengthens the charge, while the constant-current
// phase exists and the current is above e times the taper. Nearer to the taper
// the opposite holds, by the arithmetic of the two phases:
// t = (1 − z)/c − r/k + (r/k)·ln(c/c_end), so dt/dr < 0 for c < e·c_end.
func TestLessResistanceIsNeverSlower(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		q := equalPack(t)
		before := minutes(t, q)
		p := planner().Plan(q)
		if p.Phases[0].Kind != charge.ConstantCurrent || *q.Goal.CurrentA < 4**p.Settings.TaperCurrentA {
			t.Skip("near the taper")
		}
		for i := range q.Pack.CellResistancesMOhm {
			q.Pack.CellResistancesMOhm[i] *= 0.8
		}
		assert.LessOrEqual(t, minutes(t, q), before*(1+hair))
	})
}

// 6: an added fault never improves a verdict.
func TestAddedFaultNeverImprovesTheVerdict(t *testing.T) {
	t.Parallel()
	pl := planner()
	rank := map[spec.Verdict]int{spec.VerdictClear: 0, spec.VerdictCaution: 1, spec.VerdictStop: 2}
	rapid.Check(t, func(t *rapid.T) {
		q := drawRequest(t)
		before := rank[pl.Plan(q).Verdict]
		q.Pack.Condition = append(q.Pack.Condition, spec.Condition(rapid.SampledFrom(spec.Swollen.Enum()).Draw(t, "fault")))
		assert.GreaterOrEqual(t, rank[pl.Plan(q).Verdict], before)
	})
}

// 7: giving a measurement that equals what would have been assumed never
// widens the range: from any start, to any taper, near it as well.
func TestMeasuringWhatWasAssumedNeverWidensTheRange(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		q := equalPack(t)
		if rapid.Bool().Draw(t, "start assumed") {
			q.Pack.ChargePercent = nil
		} else {
			percent := between(0, 100).Draw(t, "any percent")
			q.Pack.ChargePercent = &percent
		}
		q.TaperCRate = maybe(t, between(0.01, 0.2), "taper")
		q.Pack.MaxDischargeCRate = maybe(t, between(1, 60), "discharge rate")
		q.Pack.CellResistancesMOhm = nil
		before := planner().Plan(q)
		if before.Verdict == spec.VerdictStop {
			t.Skip("too much heat")
		}
		wide := before.Duration.HighMin - before.Duration.LowMin
		for _, a := range before.Assumed {
			value, number := a.Value.(float64)
			switch a.Field {
			case "/pack/measured_capacity_mah":
				q.Pack.MeasuredCapacityMAh = &value
			case "/pack/charge_percent":
				q.Pack.ChargePercent = &value
			case "/pack/cell_resistances_mohm":
				q.Pack.CellResistancesMOhm = []float64{value, value, value}
				q.Pack.ResistanceMethod = spec.AC1kHz
			default:
				continue
			}
			assert.True(t, number)
			after := planner().Plan(q)
			if after.Verdict == spec.VerdictStop {
				t.Skip("the measurement alone stops it")
			}
			now := after.Duration.HighMin - after.Duration.LowMin
			if now > wide*(1+hair)+1e-9 {
				body, _ := json.Marshal(q)
				t.Fatalf("%s widens %v to %v (%v to %v): %s", a.Field, wide, now, after.Duration.LowMin, after.Duration.HighMin, body)
			}
			wide = now
		}
	})
}
