package property

import (
	"math"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/runtime"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/tests/trace"
)

func runner() *runtime.Estimator { return runtime.NewEstimator(cell.NewTable(), rule.All()) }

// drawLoad draws a load in keeping with a pack, from a tenth of 1 C to where it gives out.
func drawLoad(t *rapid.T, p *spec.Pack) spec.Load {
	amps := func(label string) *float64 {
		a := math.Exp(between(math.Log(0.1), math.Log(60)).Draw(t, label)) * p.CapacityMAh / 1000
		a = max(a, 0.001)
		return &a
	}
	watts := func(label string) *float64 {
		w := max(*amps(label)*3.6*float64(p.CellsSeries), 0.001)
		return &w
	}
	l := spec.Load{Kind: spec.LoadKind(rapid.SampledFrom(spec.Cycle.Enum()).Draw(t, "kind"))}
	switch l.Kind {
	case spec.ConstantCurrent:
		l.CurrentA = amps("amps")
	case spec.ConstantPower:
		l.PowerW = watts("watts")
	case spec.ConstantResistance:
		r := min(max(3.6*float64(p.CellsSeries) / *amps("amps"), 0.001), 1e6)
		l.ResistanceOhm = &r
	default:
		for range rapid.IntRange(1, 4).Draw(t, "segments") {
			s := spec.Segment{DurationS: rapid.OneOf(between(1, 30), between(30, 900)).Draw(t, "seconds")}
			switch rapid.IntRange(0, 2).Draw(t, "what") {
			case 0:
				s.PowerW = watts("watts")
			case 1:
				s.CurrentA = amps("amps")
			default:
				s.CurrentA = new(float64)
			}
			l.Segments = append(l.Segments, s)
		}
	}
	return l
}

// drawRunning draws any request that validation lets through.
func drawRunning(t *rapid.T) *runtime.Request {
	q := &runtime.Request{Pack: drawPack(t)}
	if rapid.Bool().Draw(t, "charged") && q.Pack.Chemistry.Lithium() {
		q.Pack.CellVoltagesV, q.Pack.PackVoltageV = nil, nil
		q.Pack.ChargePercent = maybe(t, between(60, 100), "percent of a charged pack")
	}
	q.Load = drawLoad(t, &q.Pack)
	if rapid.Bool().Draw(t, "has cutoff") {
		q.Cutoff = &runtime.Cutoff{CellVoltageV: maybe(t, rapid.OneOf(between(2.5, 3.6), between(0.1, 5)), "cutoff"), ReservePercent: maybe(t, between(0, 90), "reserve")}
	}
	q.AmbientDegC = maybe(t, between(-20, 45), "ambient")
	q.SessionMin = maybe(t, between(1, 600), "session")
	q.CurvePoints = rapid.SampledFrom([]int{0, 1, 2, 50}).Draw(t, "points")
	return q
}

// asked draws a request that is valid.
func asked(t *rapid.T, v *spec.Validator) *runtime.Request {
	q := drawRunning(t)
	if len(v.Validate(q)) > 0 {
		t.Skip("not a valid request")
	}
	return q
}

func TestInvariantsOfOneRun(t *testing.T) {
	t.Parallel()
	e, v := runner(), spec.NewValidator()
	cells := cell.NewTable()
	rapid.Check(t, func(t *rapid.T) {
		q := asked(t, v)
		a := e.Estimate(q)
		text, err := json.Marshal(a) // which refuses what is no number
		require.NoError(t, err)
		require.NotEmpty(t, text)
		require.Equal(t, spec.VerdictOf(a.Findings), a.Verdict)
		for _, f := range a.Findings {
			require.NotEqual(t, "internal-fault", f.Rule)
			require.NotContains(t, f.Message, "fault of the service")
		}
		r := a.Runtime
		assert.LessOrEqual(t, r.LowMin, r.ExpectedMin)
		assert.LessOrEqual(t, r.ExpectedMin, r.HighMin)
		assert.InDelta(t, a.UsableMAh, a.MeanCurrentA*1000*r.ExpectedMin/60, sums*(1+a.UsableMAh), "charge is the mean current over the time")
		assert.LessOrEqual(t, a.MeanCurrentA, a.PeakCurrentA*(1+1e-9))
		assert.LessOrEqual(t, a.Temperature.PeakDegC, max(a.Temperature.AdiabaticDegC, a.Temperature.StartDegC, a.Temperature.AmbientDegC)+1e-6)
		stored(t, cells.Get(q.Pack.Chemistry), q, a)
		for packs, each := range map[*int]float64{a.PacksFor: r.ExpectedMin, a.PacksForSurely: r.LowMin} {
			if packs != nil {
				assert.GreaterOrEqual(t, float64(*packs)*each, *q.SessionMin*(1-1e-8), "enough packs")
				assert.Less(t, float64(*packs-1)*each, *q.SessionMin*(1+1e-8), "and none too many")
			}
		}
		sampled(t, q, a)
	})
}

// stored holds the energies to the curve: what the cells lose is what comes out and the heat.
func stored(t *rapid.T, c *cell.Chemistry, q *runtime.Request, a *runtime.Estimate) {
	if c.Curve == nil || a.UsableMAh == 0 {
		return
	}
	mah := q.Pack.CapacityMAh
	if m := q.Pack.MeasuredCapacityMAh; m != nil {
		mah = *m
	}
	lost := 0.0
	for _, percent := range a.Start.CellChargesPercent {
		z := percent / 100
		lost += mah / 1000 * (c.Curve.Integral(z) - c.Curve.Integral(z-a.UsableMAh/mah))
	}
	// The charge is shown to nine digits of the whole; a short run is a small difference of two.
	assert.InDelta(t, lost, a.EnergyWh+a.HeatWh, 1e-6*lost+1e-8*mah/1000*float64(q.Pack.CellsSeries)*4)
}

func sampled(t *rapid.T, q *runtime.Request, a *runtime.Estimate) {
	require.Len(t, a.Curve, q.CurvePoints)
	last, charge := -1.0, math.Inf(1)
	for _, p := range a.Curve {
		assert.GreaterOrEqual(t, p.TS, last)
		assert.LessOrEqual(t, p.ChargePercent, charge+1e-9)
		assert.GreaterOrEqual(t, p.PackVoltageV, a.LowestVoltageV*(1-1e-8))
		assert.LessOrEqual(t, p.CurrentA, a.PeakCurrentA*(1+1e-8))
		assert.LessOrEqual(t, p.TemperatureDegC, a.Temperature.PeakDegC+1e-6)
		last, charge = p.TS, p.ChargePercent
	}
}

// harsher are changes after which no run lasts longer.
func harsher() map[string]func(*rapid.T, *runtime.Request) {
	more := func(t *rapid.T, x *float64, most float64) *float64 {
		if x == nil {
			return nil
		}
		y := min(*x*between(1, 2).Draw(t, "harsher"), most)
		return &y
	}
	return map[string]func(*rapid.T, *runtime.Request){
		"a harsher load": func(t *rapid.T, q *runtime.Request) {
			l := &q.Load
			l.CurrentA, l.PowerW = more(t, l.CurrentA, 1e4), more(t, l.PowerW, 1e6)
			if l.ResistanceOhm != nil {
				r := max(*l.ResistanceOhm/between(1, 2).Draw(t, "harsher"), 0.001)
				l.ResistanceOhm = &r
			}
			l.Segments = append([]spec.Segment{}, l.Segments...)
			if len(l.Segments) == 0 {
				l.Segments = nil
			}
			for i := range l.Segments {
				s := &l.Segments[i]
				s.CurrentA, s.PowerW = more(t, s.CurrentA, 1e4), more(t, s.PowerW, 1e6)
			}
		},
		"a higher cut-off": func(t *rapid.T, q *runtime.Request) {
			c := runtime.Cutoff{}
			if q.Cutoff != nil {
				c = *q.Cutoff
			}
			if c.CellVoltageV == nil || *c.CellVoltageV > 4.9 {
				t.Skip("none given")
			}
			v := *c.CellVoltageV + between(0, 0.1).Draw(t, "higher")
			c.CellVoltageV = &v
			q.Cutoff = &c
		},
		"a larger reserve": func(t *rapid.T, q *runtime.Request) {
			if q.Cutoff == nil || q.Cutoff.ReservePercent == nil {
				t.Skip("none given")
			}
			c := *q.Cutoff
			p := min(*c.ReservePercent+between(0, 20).Draw(t, "larger"), 90)
			c.ReservePercent = &p
			q.Cutoff = &c
		},
		"a colder pack": func(t *rapid.T, q *runtime.Request) {
			if q.Pack.TemperatureDegC == nil || q.Load.Kind == spec.ConstantResistance {
				t.Skip("none given, or more resistance lowers the current")
			}
			c := max(*q.Pack.TemperatureDegC-between(0, 10).Draw(t, "colder"), -60)
			if q.AmbientDegC == nil {
				q.AmbientDegC = q.Pack.TemperatureDegC // else the room would be colder too
			}
			q.Pack.TemperatureDegC = &c
		},
		"more resistance": func(t *rapid.T, q *runtime.Request) {
			if len(q.Pack.CellResistancesMOhm) == 0 || q.Load.Kind == spec.ConstantResistance {
				t.Skip("none given, or more resistance lowers the current")
			}
			list := append([]float64{}, q.Pack.CellResistancesMOhm...)
			i := rapid.IntRange(0, len(list)-1).Draw(t, "which")
			list[i] *= between(1, 2).Draw(t, "more")
			q.Pack.CellResistancesMOhm = list
		},
		"less charge": func(t *rapid.T, q *runtime.Request) {
			if q.Pack.ChargePercent == nil {
				t.Skip("none given")
			}
			z := *q.Pack.ChargePercent * between(0.8, 1).Draw(t, "less")
			q.Pack.ChargePercent = &z
		},
		"one emptier cell": func(t *rapid.T, q *runtime.Request) {
			if len(q.Pack.CellVoltagesV) == 0 || q.Load.Kind == spec.ConstantResistance {
				t.Skip("none given, or a lower voltage lowers the current")
			}
			list := append([]float64{}, q.Pack.CellVoltagesV...)
			i := rapid.IntRange(0, len(list)-1).Draw(t, "which")
			list[i] *= between(0.95, 1).Draw(t, "less")
			q.Pack.CellVoltagesV = list
		},
	}
}

func TestAHarsherRunIsNeverLonger(t *testing.T) {
	t.Parallel()
	e, v := runner(), spec.NewValidator()
	for name, change := range harsher() {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				q := asked(t, v)
				harder := *q
				change(t, &harder)
				if len(v.Validate(&harder)) > 0 {
					t.Skip("no longer valid")
				}
				if len(q.Pack.CellVoltagesV) > 0 && name == "one emptier cell" && q.Pack.Chemistry == spec.LiFePO4 {
					t.Skip("where its curve is flat all cells are taken as equal, or no longer")
				}
				a, b := e.Estimate(q), e.Estimate(&harder)
				if q.Load.Kind == spec.ConstantResistance && a.StoppedBy == runtime.ByTemperature {
					t.Skip("a fuller pack drives a resistor harder, and is hot sooner")
				}
				if q.Load.Kind == spec.ConstantResistance && name == "less charge" && a.StoppedBy == runtime.ByCutoffVoltage {
					t.Skip("an emptier pack drives a resistor less hard, and its worst cell sags later")
				}
				if name == "a colder pack" && (a.StoppedBy == runtime.ByTemperature || b.StoppedBy == runtime.ByTemperature) {
					t.Skip("what starts colder takes longer to get hot")
				}
				if b.Runtime.ExpectedMin > a.Runtime.ExpectedMin*(1+1e-8) {
					before, _ := json.Marshal(q)
					after, _ := json.Marshal(&harder)
					t.Fatalf("%s makes %v min of %v (%s, %s)\n%s\n%s", name, b.Runtime.ExpectedMin, a.Runtime.ExpectedMin, a.StoppedBy, b.StoppedBy, before, after)
				}
			})
		})
	}
}

// A measurement that equals what would have been assumed changes nothing but the range, which it
// does not widen.
func TestAMeasurementDoesNotWidenARun(t *testing.T) {
	t.Parallel()
	e, v := runner(), spec.NewValidator()
	rapid.Check(t, func(t *rapid.T) {
		q := asked(t, v)
		if q.Pack.MeasuredCapacityMAh != nil || q.Pack.Cycles != nil {
			t.Skip("measured already, or aged by its cycles")
		}
		m := *q
		m.Pack.MeasuredCapacityMAh = &q.Pack.CapacityMAh
		a, b := e.Estimate(q), e.Estimate(&m)
		if q.Load.Kind == spec.ConstantResistance && (a.StoppedBy == runtime.ByTemperature || a.Temperature.AdiabaticDegC > 50) {
			t.Skip("span.go says why")
		}
		assert.InDelta(t, a.Runtime.ExpectedMin, b.Runtime.ExpectedMin, 1e-9*a.Runtime.ExpectedMin)
		slack := 1e-8                               // the ninth digit
		if q.Load.Kind == spec.ConstantResistance { // the least may lie a little inside the range: span.go says why
			slack = 0.01
		}
		assert.GreaterOrEqual(t, b.Runtime.LowMin, a.Runtime.LowMin*(1-slack))
		assert.LessOrEqual(t, b.Runtime.HighMin, a.Runtime.HighMin*(1+1e-8))
	})
}

func TestTraceOfAnyRun(t *testing.T) {
	t.Parallel()
	e, v := runner(), spec.NewValidator()
	rapid.Check(t, func(t *rapid.T) {
		q := asked(t, v)
		q.CurvePoints = min(q.CurvePoints, 2)
		a := e.Explain(q)
		body, err := json.Marshal(q)
		require.NoError(t, err)
		for _, complaint := range trace.Complaints(string(body), a, a.Trace, true) {
			assert.Fail(t, complaint, "%s", body)
		}
		b := e.Estimate(q)
		a.Trace = nil
		require.Equal(t, b, a, "a trace changes nothing else")
	})
}

// The generator reaches every end, verdict and kind of load, and runs that last often enough.
func TestGeneratorOfRunsReachesEveryEnd(t *testing.T) {
	t.Parallel()
	e, v := runner(), spec.NewValidator()
	seen, all := map[string]int{}, 0
	rapid.Check(t, func(t *rapid.T) {
		for range 10 {
			q := drawRunning(t)
			if len(v.Validate(q)) > 0 {
				continue
			}
			all++
			a := e.Estimate(q)
			seen[string(a.Verdict)]++
			if a.Runtime.ExpectedMin > 0 {
				seen["lasts"]++
				seen[string(a.StoppedBy)]++
				seen[string(a.StoppedBy)+" "+string(q.Load.Kind)]++
			}
		}
	})
	t.Log(all, seen)
	for _, end := range runtime.ByReserve.Enum() {
		assert.Positive(t, seen[end], end)
		for _, kind := range spec.Cycle.Enum() {
			if end != string(runtime.ByTemperature) { // which is too seldom for each kind to be sure of it
				assert.Positive(t, seen[end+" "+kind], "%s by %s", kind, end)
			}
		}
	}
	for _, verdict := range spec.VerdictClear.Enum() {
		assert.Positive(t, seen[verdict], verdict)
	}
	assert.Greater(t, float64(seen["lasts"]), 0.3*float64(all))
}
