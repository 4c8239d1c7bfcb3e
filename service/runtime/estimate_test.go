package runtime

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// The packs and loads are invented: Tern Quay Model Boats.
const tug = `{"pack":{"id":"tq-031","chemistry":"lipo","cells_series":3,"capacity_mah":5000,"max_discharge_c_rate":25},"load":{"kind":"constant_current","current_a":4}}`

func estimate(t testing.TB, body string) *Estimate {
	t.Helper()
	var q Request
	require.NoError(t, json.Unmarshal([]byte(body), &q))
	require.Empty(t, spec.NewValidator().Validate(&q))
	return NewEstimator(cell.NewTable(), rule.All()).Estimate(&q)
}

func assumed(e *Estimate, field string) (any, bool) {
	for _, a := range e.Assumed {
		if a.Field == field {
			return a.Value, true
		}
	}
	return nil, false
}

func finds(e *Estimate, id string) spec.Severity {
	for _, f := range e.Findings {
		if f.Rule == id {
			return f.Severity
		}
	}
	return ""
}

// What the request leaves out of the cut-off is assumed, and said.
func TestCutoffLeftOut(t *testing.T) {
	for name, c := range map[string]struct {
		cutoff           string
		volt, reserve    bool // assumed
		percent, minutes float64
	}{
		"all of it":       {``, true, true, 20, 60},
		"an empty one":    {`,"cutoff":{}`, true, true, 20, 60},
		"only a reserve":  {`,"cutoff":{"reserve_percent":40}`, true, false, 40, 45},
		"only a voltage":  {`,"cutoff":{"cell_voltage_v":3}`, false, true, 0, 74.83},
		"nothing of both": {`,"cutoff":{"cell_voltage_v":3,"reserve_percent":0}`, false, false, 0, 74.83},
	} {
		e := estimate(t, tug[:len(tug)-1]+c.cutoff+"}")
		v, voltAssumed := assumed(e, "/cutoff/cell_voltage_v")
		p, reserveAssumed := assumed(e, "/cutoff/reserve_percent")
		assert.Equal(t, c.volt, voltAssumed, name)
		assert.Equal(t, c.reserve, reserveAssumed, name)
		if voltAssumed {
			assert.Equal(t, 3.0, v, name)
		}
		if reserveAssumed {
			assert.Equal(t, c.percent, p, name)
		}
		assert.InDelta(t, c.minutes, e.Runtime.ExpectedMin, 0.1, name)
	}
}

// An alarm set where the answer says sounds when the reserve is reached: a run with that
// voltage for its cut-off, and no reserve, takes as long.
func TestTheAlarmLeavesTheReserve(t *testing.T) {
	for _, load := range []string{
		`{"kind":"constant_current","current_a":30}`,
		`{"kind":"constant_power","power_w":200}`,
		`{"kind":"constant_resistance","resistance_ohm":0.7}`,
	} {
		const pack = `"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":5000,"max_discharge_c_rate":25,"cell_voltages_v":[4.18,4.17,4.18]}`
		e := estimate(t, `{`+pack+`,"load":`+load+`,"cutoff":{"reserve_percent":30}}`)
		require.Equal(t, ByReserve, e.StoppedBy, load)
		require.NotNil(t, e.AlarmCellVoltageV)
		text, err := json.Marshal(*e.AlarmCellVoltageV)
		require.NoError(t, err)
		same := estimate(t, `{`+pack+`,"load":`+load+`,"cutoff":{"reserve_percent":0,"cell_voltage_v":`+string(text)+`}}`)
		assert.Equal(t, ByCutoffVoltage, same.StoppedBy)
		assert.InEpsilon(t, e.Runtime.ExpectedMin, same.Runtime.ExpectedMin, 1e-5, load)
		// A heavier load sags further, so its alarm is set lower.
		light := estimate(t, `{`+pack+`,"load":{"kind":"constant_current","current_a":2},"cutoff":{"reserve_percent":30}}`)
		assert.Greater(t, *light.AlarmCellVoltageV, *e.AlarmCellVoltageV)
	}
	const cycle = `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":5000,"max_discharge_c_rate":25},"load":{"kind":"cycle","segments":[{"duration_s":5,"current_a":60},{"duration_s":20,"current_a":5}]},"cutoff":{"reserve_percent":30}}`
	e := estimate(t, cycle)
	require.Equal(t, ByReserve, e.StoppedBy)
	assert.Equal(t, e.LowestCellV, *e.AlarmCellVoltageV, "the dip of the heaviest segment sets it off")
}

// The voltage of a nimh pack does not tell: its charge is counted, and there is no alarm.
func TestNickelIsCounted(t *testing.T) {
	e := estimate(t, `{"pack":{"chemistry":"nimh","cells_series":6,"capacity_mah":3000},"load":{"kind":"constant_current","current_a":3}}`)
	assert.InDelta(t, 48, e.Runtime.ExpectedMin, 1e-6, "four fifths of an hour")
	assert.Nil(t, e.AlarmCellVoltageV)
	v, said := assumed(e, "/pack/nominal_voltage_v")
	assert.True(t, said)
	assert.InDelta(t, 7.2, v, 1e-12)
	_, said = assumed(e, "/pack/cell_resistances_mohm")
	assert.True(t, said)
	assert.Equal(t, spec.FromAssumedFull, e.Start.From)
}

// The figures are given whatever the verdict.
func TestFiguresAreGivenWithAStop(t *testing.T) {
	e := estimate(t, `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":2200,"condition":["swollen"]},"load":{"kind":"constant_current","current_a":4},"curve_points":3}`)
	assert.Equal(t, spec.VerdictStop, e.Verdict)
	assert.Positive(t, e.Runtime.ExpectedMin)
	assert.Len(t, e.Curve, 3)
}

// More than the pack can give ends at once, with the most it can give.
func TestMoreThanThePackCanGive(t *testing.T) {
	e := estimate(t, `{"pack":{"chemistry":"lipo","cells_series":2,"capacity_mah":450},"load":{"kind":"constant_power","power_w":5000},"session_min":10}`)
	assert.Equal(t, spec.Stop, finds(e, "power-beyond-pack"))
	assert.Zero(t, e.Runtime.HighMin)
	assert.Nil(t, e.PacksFor, "no number of packs will do")
	assert.Nil(t, e.SagV)
	require.Equal(t, ByCutoffVoltage, e.StoppedBy)
	for _, f := range e.Findings {
		if f.Rule != "power-beyond-pack" {
			continue
		}
		below, err := json.Marshal(*f.Limit * 0.999)
		require.NoError(t, err)
		ok := estimate(t, `{"pack":{"chemistry":"lipo","cells_series":2,"capacity_mah":450},"load":{"kind":"constant_power","power_w":`+string(below)+`}}`)
		assert.Positive(t, ok.Runtime.ExpectedMin, "just below the most it runs")
		assert.Empty(t, finds(ok, "power-beyond-pack"))
	}
}

func TestPacksForASession(t *testing.T) {
	e := estimate(t, tug[:len(tug)-1]+`,"session_min":150}`)
	assert.InDelta(t, 47.8125, e.Runtime.LowMin, 1e-6)
	assert.Equal(t, 4, *e.PacksForSurely, "three of the worst that it may be last 143 min")
	assert.Equal(t, int(math.Ceil(150/e.Runtime.ExpectedMin)), *e.PacksFor)
	assert.Less(t, *e.PacksFor, *e.PacksForSurely)
	e = estimate(t, tug[:len(tug)-1]+`,"session_min":143.4375}`)
	assert.Equal(t, 3, *e.PacksForSurely, "to the second")
}

// anyRun is a request for some pack and load.
func anyRun(t *rapid.T) *Request {
	q := &Request{Pack: spec.Pack{
		Chemistry:   spec.Chemistry(rapid.SampledFrom(spec.LiPo.Enum()).Draw(t, "chemistry")),
		CellsSeries: rapid.IntRange(1, 6).Draw(t, "cells"), CapacityMAh: rapid.Float64Range(200, 8000).Draw(t, "capacity"),
	}}
	z := rapid.Float64Range(30, 100).Draw(t, "charge")
	q.Pack.ChargePercent = &z
	a := q.Pack.CapacityMAh / 1000 * math.Exp(rapid.Float64Range(-2, 3.5).Draw(t, "rate"))
	watts, ohms := a*3.6*float64(q.Pack.CellsSeries), 3.6*float64(q.Pack.CellsSeries)/a
	switch q.Load.Kind = spec.LoadKind(rapid.SampledFrom(spec.Cycle.Enum()).Draw(t, "kind")); q.Load.Kind {
	case spec.ConstantCurrent:
		q.Load.CurrentA = &a
	case spec.ConstantPower:
		q.Load.PowerW = &watts
	case spec.ConstantResistance:
		q.Load.ResistanceOhm = &ohms
	default:
		q.Load.Segments = []spec.Segment{{DurationS: 20, CurrentA: &a}, {DurationS: 30, CurrentA: new(float64)}, {DurationS: 40, PowerW: &watts}}
	}
	return q
}

// worked is the work on a request, up to what the rules are asked.
func worked(q *Request) *work {
	s, cells := &scratch{}, cell.NewTable()
	s.facts = rule.Facts{Pack: &q.Pack, Running: &s.running, Chemistries: cells, Chemistry: cells.Get(q.Pack.Chemistry)}
	w := &work{q: q, s: s, out: &Estimate{}, facts: &s.facts, running: &s.running}
	w.run()
	return w
}

// Wherever in its ranges a pack is, its run lies within the range of the answer.
func TestAnyPackOfTheRangeRunsWithinIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := anyRun(t)
		w := worked(q)
		least, most := w.model.OhmRange()
		f := least * math.Pow(most/least, rapid.Float64Range(0, 1).Draw(t, "resistance"))
		picks := []cell.Pick{cell.Low, cell.Expected, cell.High}
		r := w.at(corner{rapid.SampledFrom(picks).Draw(t, "capacity in range"), rapid.SampledFrom(picks).Draw(t, "charge in range"), f})
		if q.Load.Kind == spec.ConstantResistance && r.Stop == sim.StopTemperature {
			t.Skip("span.go says why")
		}
		assert.GreaterOrEqual(t, r.Seconds, w.span.low*(1-1e-9))
		assert.LessOrEqual(t, r.Seconds, w.span.high*(1+1e-9))
	})
}

func BenchmarkEstimate(b *testing.B) {
	for name, body := range map[string]string{
		"current":  tug,
		"power":    `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":5000,"max_discharge_c_rate":25},"load":{"kind":"constant_power","power_w":50}}`,
		"resistor": `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":5000,"max_discharge_c_rate":25},"load":{"kind":"constant_resistance","resistance_ohm":2.5}}`,
		"cycle":    `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":5000,"max_discharge_c_rate":25},"load":{"kind":"cycle","segments":[{"duration_s":4,"current_a":40},{"duration_s":6,"current_a":5}]}}`,
	} {
		b.Run(name, func(b *testing.B) {
			var q Request
			require.NoError(b, json.Unmarshal([]byte(body), &q))
			e := NewEstimator(cell.NewTable(), rule.All())
			b.ReportAllocs()
			for range b.N {
				e.Estimate(&q)
			}
		})
	}
}

// A handbook's 8.29 milliohms a meter of 14 AWG: both wires of 100 mm take 0.066 V of 40 A.
func TestTheLeadTakesItsPart(t *testing.T) {
	e := estimate(t, `{"pack":{"chemistry":"lipo","cells_series":3,"capacity_mah":5000,"main_lead":{"wire_awg":14,"length_mm":100}},"load":{"kind":"constant_current","current_a":40}}`)
	require.NotNil(t, e.LeadDropV)
	assert.InEpsilon(t, 40*0.2*8.29e-3, *e.LeadDropV, 0.005)
}

// What an estimate gives back for the next does not keep its request alive.
func TestWorkingMemoryForgetsTheRequest(t *testing.T) {
	var q Request
	require.NoError(t, json.Unmarshal([]byte(tug), &q))
	est := NewEstimator(cell.NewTable(), rule.All())
	s := est.scratch.Get().(*scratch)
	est.scratch.New = func() any { return s }
	est.scratch.Put(s)
	est.Estimate(&q)
	assert.NotEmpty(t, s.hash, "it was worked in")
	assert.Zero(t, s.facts)
	assert.Zero(t, s.running)
	for _, a := range s.assumed[:cap(s.assumed)] {
		assert.Zero(t, a)
	}
}
