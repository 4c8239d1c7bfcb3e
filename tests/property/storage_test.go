package property

import (
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/storage"
	"github.com/wattkeel/wattkeel/tests/trace"
)

func storer() *storage.Planner { return storage.NewPlanner(cell.NewTable(), rule.All(), planner()) }

// drawStored draws any storage request that validation lets through.
func drawStored(t *rapid.T) *storage.Request {
	from := drawRequest(t)
	q := &storage.Request{Pack: from.Pack, CurvePoints: from.CurvePoints, IdleDays: maybe(t, between(0, 2000), "idle")}
	if s := from.Surroundings; s != nil {
		q.Surroundings = &spec.Surroundings{AmbientDegC: s.AmbientDegC, Attended: s.Attended}
	}
	if q.Pack.Chemistry.Lithium() && rapid.Bool().Draw(t, "well filled") {
		percent := between(60, 100).Draw(t, "percent of a full one")
		q.Pack.CellVoltagesV, q.Pack.PackVoltageV, q.Pack.ChargePercent = nil, nil, &percent
	}
	if q.Pack.Chemistry.Lithium() && rapid.IntRange(0, 3).Draw(t, "apart") == 0 {
		base := between(3.75, 4.15).Draw(t, "base volt")
		q.Pack.PackVoltageV, q.Pack.ChargePercent = nil, nil
		q.Pack.CellVoltagesV = rapid.SliceOfN(between(base, base+0.1), q.Pack.CellsSeries, q.Pack.CellsSeries).Draw(t, "volts apart")
	}
	if rapid.IntRange(0, 3).Draw(t, "has charger") > 0 {
		c := from.Charger
		q.Charger = &c
		c.StorageProgram = maybe(t, rapid.Bool(), "storage program")
		q.Charger.MaxDischargeCurrentA = maybe(t, rapid.OneOf(between(0, 0.002), between(0.05, 40)), "discharge current")
		q.Charger.MaxDischargePowerW = maybe(t, rapid.OneOf(between(0, 0.02), between(1, 500)), "discharge power")
	}
	switch rapid.IntRange(0, 5).Draw(t, "load") {
	case 0:
		q.Load = &spec.Load{Kind: spec.ConstantCurrent, CurrentA: new(between(0.001, 100).Draw(t, "amps"))}
	case 1:
		q.Load = &spec.Load{Kind: spec.ConstantPower, PowerW: new(between(0.001, 1000).Draw(t, "watts"))}
	case 2:
		q.Load = &spec.Load{Kind: spec.ConstantResistance, ResistanceOhm: new(between(0.001, 1000).Draw(t, "ohms"))}
	case 3:
		q.Load = &spec.Load{Kind: spec.Cycle}
		for range rapid.IntRange(1, 10).Draw(t, "segments") {
			s := spec.Segment{DurationS: between(0.01, 100).Draw(t, "seconds")}
			if rapid.Bool().Draw(t, "by power") {
				s.PowerW = new(between(0, 300).Draw(t, "watts"))
			} else {
				s.CurrentA = new(between(0, 50).Draw(t, "amps"))
			}
			q.Load.Segments = append(q.Load.Segments, s)
		}
	}
	return q
}

func TestInvariantsOfOneStoragePlan(t *testing.T) {
	t.Parallel()
	pl, v := storer(), spec.NewValidator()
	seen := map[string]int{}
	ask := func(t *rapid.T) {
		q := drawStored(t)
		if len(v.Validate(q)) > 0 {
			return
		}
		body, err := json.Marshal(q)
		require.NoError(t, err)
		t.Logf("%s", body)
		p := pl.Plan(q)
		_, err = json.Marshal(p) // no number that JSON cannot hold
		require.NoError(t, err)
		seen[string(p.Verdict)]++
		seen[string(p.Action)]++
		for _, a := range p.Alternatives {
			seen[string(a.Kind)]++
		}
		for _, x := range p.Phases {
			seen[string(p.Action)+" "+string(x.Kind)]++
		}
		storedWithoutDoing(t, q, p)
		if p.Settings != nil {
			storedSettings(t, q, p)
			storedSums(t, p)
		}
		storedWays(t, q, p)
	}
	rapid.Check(t, func(t *rapid.T) {
		for range 10 {
			ask(t)
		}
	})
	t.Log(seen)
	for _, k := range []string{
		"clear", "caution", "stop", "charge", "discharge", "leave", "run_in_model", "resistor", "wait",
		"discharge power_limited", "discharge constant_current", "discharge balancing", "charge constant_current",
	} {
		assert.Positive(t, seen[k], k)
	}
}

// Verdict stop, and leave, if and only if there is nothing to be done: no settings,
// no phases, no curve and no alternatives. A discharge that no charger here can do
// has alternatives; a charge without a charger has neither.
func storedWithoutDoing(t *rapid.T, q *storage.Request, p *storage.Plan) {
	nothing := p.Settings == nil && len(p.Phases) == 0 && len(p.Curve) == 0 && len(p.Alternatives) == 0
	idle := p.Verdict == spec.VerdictStop || p.Action == storage.Leave || p.Action == storage.Charge && q.Charger == nil
	assert.Equal(t, idle, nothing, "%s, %s", p.Verdict, p.Action)
	assert.Equal(t, p.Settings == nil, p.Limits == nil)
	assert.Equal(t, p.Settings == nil, p.Duration == nil)
	assert.Equal(t, p.Settings == nil, len(p.Phases) == 0)
	assert.Equal(t, p.Verdict == spec.VerdictStop, len(p.Steps) == 0)
	for _, f := range p.Findings {
		assert.NotEmpty(t, f.Remedy, f.Rule)
	}
	assert.Equal(t, p.TargetCellVoltageV == nil, q.Pack.Chemistry == spec.NiMH)
	assert.Less(t, p.TargetChargePercent, 70.0)
	assert.Greater(t, p.TargetChargePercent, 35.0)
}

func storedSettings(t *rapid.T, q *storage.Request, p *storage.Plan) {
	binding := 0
	for _, l := range p.Limits {
		if l.Binding {
			binding++
		}
		assert.LessOrEqual(t, p.Settings.CurrentA, l.CurrentA, "%s", l.Name)
	}
	assert.Equal(t, p.Settings.PowerW != nil, p.Settings.MaxCurrentA != nil)
	if m := p.Settings.MaxCurrentA; m != nil {
		assert.Greater(t, *m, p.Settings.CurrentA)
	}
	assert.Equal(t, 1, binding)
	assert.Len(t, p.Curve, q.CurvePoints)
	d := p.Duration
	assert.LessOrEqual(t, d.LowMin, d.ExpectedMin)
	assert.LessOrEqual(t, d.ExpectedMin, d.HighMin)
	assert.GreaterOrEqual(t, p.Settings.TimeLimitMin, d.HighMin*(1-1e-8))
	// No cell comes to rest below the target by a discharge.
	target := *p.TargetCellVoltageV
	if n := len(p.Curve); n > 1 && p.Action == storage.Discharge {
		last := p.Curve[n-1]
		sag := last.CurrentA * worstOhm(q) // what the cell shows less than it rests at
		assert.GreaterOrEqual(t, last.LowestCellV+sag, min(target, p.Curve[0].LowestCellV)-1e-6)
	}
}

// worstOhm is not less than the quasi-steady resistance of any cell.
func worstOhm(q *storage.Request) float64 {
	m := cell.NewModel(cell.NewTable().Get(q.Pack.Chemistry), &q.Pack, cell.Surroundings(q.Surroundings), spec.FromAssumedAny, nil)
	worst := 0.0
	for _, g := range m.Groups {
		worst = max(worst, g.Ohm.Expected)
	}
	return worst
}

func storedSums(t *rapid.T, p *storage.Plan) {
	var moved, minutes float64
	for _, x := range p.Phases {
		moved += x.ChargeMAh
		minutes += x.DurationMin
	}
	assert.InDelta(t, *p.ChargeMAh, moved, sums**p.ChargeMAh)
	assert.InDelta(t, p.Duration.ExpectedMin, minutes, sums*p.Duration.ExpectedMin)
	in, out := *p.EnergyWh, *p.StoredWh+*p.HeatWh
	if p.Action == storage.Discharge {
		in, out = *p.StoredWh, *p.EnergyWh+*p.HeatWh
	}
	assert.InDelta(t, in, out, sums*in, "energy")
}

func storedWays(t *rapid.T, q *storage.Request, p *storage.Plan) {
	for _, a := range p.Alternatives {
		if r := a.Run; r != nil {
			assert.LessOrEqual(t, r.LowMin, r.ExpectedMin)
			assert.LessOrEqual(t, r.ExpectedMin, r.HighMin)
			assert.InDelta(t, *p.ChargeMAh, r.MeanCurrentA*r.ExpectedMin/60*1000, sums**p.ChargeMAh)
		}
		if r := a.Resistor; r != nil {
			assert.LessOrEqual(t, r.LowMin, r.ExpectedMin)
			assert.LessOrEqual(t, r.ExpectedMin, r.HighMin)
			assert.GreaterOrEqual(t, r.RatingW, 2*r.DissipationW*(1-1e-8))
			assert.LessOrEqual(t, r.StartCurrentA, 0.5*q.Pack.CapacityMAh/1000*(1+1e-8))
			if rate := q.Pack.MaxDischargeCRate; rate != nil {
				assert.LessOrEqual(t, r.StartCurrentA, *rate*q.Pack.CapacityMAh/1000*(1+1e-8))
			}
			assert.LessOrEqual(t, r.EndCurrentA, r.StartCurrentA)
		}
		if w := a.Wait; w != nil {
			assert.LessOrEqual(t, w.LowDays, w.ExpectedDays)
			assert.LessOrEqual(t, w.ExpectedDays, w.HighDays)
		}
	}
	if a := p.Ageing; a != nil {
		for _, l := range []storage.Loss{a.AsItStands, a.AtStorageCharge} {
			assert.LessOrEqual(t, l.LowPercent, l.ExpectedPercent)
			assert.LessOrEqual(t, l.ExpectedPercent, l.HighPercent)
		}
	}
}

// equalStored draws a healthy full pack of equal cells on a charger that discharges.
func equalStored(t *rapid.T) *storage.Request {
	from := equalPack(t)
	percent, rate := between(65, 95).Draw(t, "full percent"), 30.0
	from.Pack.ChargePercent, from.Pack.MaxDischargeCRate = &percent, &rate
	amps, watts := between(0.2, 10).Draw(t, "discharge amps"), between(2, 60).Draw(t, "discharge watts")
	from.Charger.MaxDischargeCurrentA, from.Charger.MaxDischargePowerW = &amps, &watts
	return &storage.Request{Pack: from.Pack, Charger: &from.Charger}
}

func storedMinutes(t *rapid.T, q *storage.Request) float64 {
	p := storer().Plan(q)
	if p.Settings == nil {
		t.Skip("near enough, or no way")
	}
	return p.Duration.ExpectedMin
}

// Storing from higher never takes less time.
func TestStoringFromHigherIsNeverQuicker(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		q := equalStored(t)
		before := storedMinutes(t, q)
		fuller := *q.Pack.ChargePercent + between(0, 5).Draw(t, "more")
		q.Pack.ChargePercent = &fuller
		assert.GreaterOrEqual(t, storedMinutes(t, q), before*(1-hair))
	})
}

// A stronger charger never takes longer.
func TestAStrongerChargerNeverStoresSlower(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		q := equalStored(t)
		before := storedMinutes(t, q)
		amps := *q.Charger.MaxDischargeCurrentA * between(1, 2).Draw(t, "more amps")
		watts := *q.Charger.MaxDischargePowerW * between(1, 2).Draw(t, "more watts")
		q.Charger.MaxDischargeCurrentA, q.Charger.MaxDischargePowerW = &amps, &watts
		assert.LessOrEqual(t, storedMinutes(t, q), before*(1+hair))
	})
}

// Giving a measurement that equals what would have been assumed never widens the
// range.
func TestMeasuringWhatWasAssumedNeverWidensAStoragePlan(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		q := equalStored(t)
		if rapid.Bool().Draw(t, "start assumed") {
			q.Pack.ChargePercent = nil
		}
		q.Pack.CellResistancesMOhm = nil
		before := storer().Plan(q)
		if before.Duration == nil {
			t.Skip("near enough, or no way")
		}
		wide := before.Duration.HighMin - before.Duration.LowMin
		for _, a := range before.Assumed {
			value, _ := a.Value.(float64)
			switch a.Field {
			case "/pack/measured_capacity_mah":
				q.Pack.MeasuredCapacityMAh = &value
			case "/pack/charge_percent":
				q.Pack.ChargePercent = &value
			case "/pack/cell_resistances_mohm":
				q.Pack.CellResistancesMOhm, q.Pack.ResistanceMethod = []float64{value, value, value}, spec.AC1kHz
			default:
				continue
			}
			after := storer().Plan(q).Duration
			if now := after.HighMin - after.LowMin; now > wide*(1+hair)+1e-9 {
				body, _ := json.Marshal(q)
				t.Fatalf("%s widens %v to %v: %s", a.Field, wide, now, body)
			}
			wide = after.HighMin - after.LowMin
		}
	})
}

// An added fault never improves a verdict.
func TestAddedFaultNeverImprovesAStoragePlan(t *testing.T) {
	t.Parallel()
	pl := storer()
	rank := map[spec.Verdict]int{spec.VerdictClear: 0, spec.VerdictCaution: 1, spec.VerdictStop: 2}
	rapid.Check(t, func(t *rapid.T) {
		q := drawStored(t)
		before := rank[pl.Plan(q).Verdict]
		q.Pack.Condition = append(q.Pack.Condition, spec.Condition(rapid.SampledFrom(spec.Swollen.Enum()).Draw(t, "fault")))
		assert.GreaterOrEqual(t, rank[pl.Plan(q).Verdict], before)
	})
}

// The same request gives the same bytes, each number has its place in the trace,
// and the rest of the answer is that without a trace.
func TestEveryNumberOfAStoragePlanHasItsTrace(t *testing.T) {
	t.Parallel()
	pl, other, v := storer(), storer(), spec.NewValidator()
	rapid.Check(t, func(t *rapid.T) {
		q := drawStored(t)
		if len(v.Validate(q)) > 0 {
			t.Skip("not a valid request")
		}
		q.CurvePoints = min(q.CurvePoints, 4)
		body, err := json.Marshal(q)
		require.NoError(t, err)
		p := pl.Explain(q)
		nodes := p.Trace
		p.Trace = nil
		if wrong := trace.Complaints(string(body), p, nodes, true); len(wrong) > 0 {
			t.Fatalf("%s\n%q", body, wrong)
		}
		plain, err := json.Marshal(other.Plan(q))
		require.NoError(t, err)
		traced, err := json.Marshal(p)
		require.NoError(t, err)
		require.Equal(t, string(plain), string(traced))
	})
}
