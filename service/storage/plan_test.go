package storage_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/storage"
)

func planner() *storage.Planner {
	cells := cell.NewTable()
	return storage.NewPlanner(cells, rule.All(), charge.NewPlanner(cells, rule.All()))
}

func ptr[T any](x T) *T { return &x }

// weak is a small charger that discharges at a few watts.
func weak() *spec.Charger {
	return &spec.Charger{
		ID: "bench-a", Chemistries: []spec.Chemistry{spec.LiPo, spec.LiHV, spec.LiIon, spec.LiFePO4, spec.NiMH}, CellsSeriesMin: 1, CellsSeriesMax: 6,
		MinChargeCurrentA: ptr(0.1), MaxChargeCurrentA: 6, ChargeCurrentStepA: ptr(0.1), MaxChargePowerW: ptr(60.0),
		Balance: spec.BalanceWithMainLead, BalanceCurrentA: ptr(0.3), CellCount: spec.CellCountDetected,
		StorageProgram: ptr(true), MaxDischargeCurrentA: ptr(1.0), MaxDischargePowerW: ptr(8.0),
	}
}

func full() *storage.Request {
	return &storage.Request{
		Pack: spec.Pack{
			ID: "tq-014", Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 2200, MaxDischargeCRate: ptr(30.0),
			CellVoltagesV: []float64{4.18, 4.18, 4.18}, CellResistancesMOhm: []float64{6.1, 6.1, 6.1}, Condition: []spec.Condition{},
		},
		Charger: weak(), IdleDays: ptr(60.0), Surroundings: &spec.Surroundings{Attended: ptr(true), AmbientDegC: ptr(20.0)},
	}
}

func kinds(p *storage.Plan) []storage.AlternativeKind {
	var out []storage.AlternativeKind
	for _, a := range p.Alternatives {
		out = append(out, a.Kind)
	}
	return out
}

func TestActions(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*storage.Request)
		want   storage.Action
		ways   int // alternatives
		set    bool
	}{
		{"full", func(*storage.Request) {}, storage.Discharge, 0, true},
		{"full, and a big one: over three hours", func(q *storage.Request) { q.Pack.CapacityMAh = 5000 }, storage.Discharge, 3, true},
		{"full, no charger", func(q *storage.Request) { q.Charger = nil }, storage.Discharge, 3, false},
		{"full, and a charger that does not discharge", func(q *storage.Request) { q.Charger.MaxDischargeCurrentA = ptr(0.0) }, storage.Discharge, 3, false},
		{"nothing known", func(q *storage.Request) { q.Pack.CellVoltagesV, q.IdleDays = nil, nil }, storage.Discharge, 0, true},
		{"for a week", func(q *storage.Request) { q.IdleDays = ptr(7.0) }, storage.Leave, 0, false},
		{"for eight days", func(q *storage.Request) { q.IdleDays = ptr(8.0) }, storage.Discharge, 0, true},
		{"at 3.75 V", func(q *storage.Request) { q.Pack.CellVoltagesV = []float64{3.75, 3.75, 3.75} }, storage.Leave, 0, false},
		{"at 3.84 V", func(q *storage.Request) { q.Pack.CellVoltagesV = []float64{3.84, 3.84, 3.84} }, storage.Leave, 0, false},
		{"at 3.87 V", func(q *storage.Request) { q.Pack.CellVoltagesV = []float64{3.87, 3.87, 3.87} }, storage.Discharge, 0, true},
		{"at 3.70 V", func(q *storage.Request) { q.Pack.CellVoltagesV = []float64{3.70, 3.70, 3.70} }, storage.Charge, 0, true},
		{"at 3.70 V, no charger", func(q *storage.Request) {
			q.Pack.CellVoltagesV, q.Charger = []float64{3.70, 3.70, 3.70}, nil
		}, storage.Charge, 0, false},
		{"one cell high", func(q *storage.Request) { q.Pack.CellVoltagesV = []float64{3.79, 3.79, 3.9} }, storage.Discharge, 0, true},
		{"one cell high, no balancing", func(q *storage.Request) {
			q.Pack.CellVoltagesV, q.Charger.Balance = []float64{3.79, 3.79, 3.9}, spec.BalanceNone
		}, storage.Leave, 0, false},
		{"one cell high, and a charger that cannot bleed it", func(q *storage.Request) {
			q.Pack.CellVoltagesV, q.Charger.MaxDischargeCurrentA = []float64{3.79, 3.79, 3.9}, ptr(0.0)
		}, storage.Leave, 0, false},
		{"one cell low, one high", func(q *storage.Request) { q.Pack.CellVoltagesV = []float64{3.65, 3.79, 3.9} }, storage.Leave, 0, false},
		{"full nimh", func(q *storage.Request) {
			q.Pack.Chemistry, q.Pack.CellVoltagesV, q.Pack.ChargePercent = spec.NiMH, nil, ptr(100.0)
		}, storage.Leave, 0, false},
	} {
		q := full()
		c.change(q)
		p := planner().Plan(q)
		assert.Equal(t, c.want, p.Action, "%s: %s", c.name, p.Because)
		assert.Len(t, p.Alternatives, c.ways, c.name)
		assert.Equal(t, c.set, p.Settings != nil, c.name)
		assert.NotEqual(t, spec.VerdictStop, p.Verdict, c.name)
		assert.NotEmpty(t, p.Because, c.name)
		assert.NotEmpty(t, p.Steps, c.name)
	}
}

// A pack that must not be connected gets nothing to do but its remedy.
func TestSwollenPackIsNotDischargedEither(t *testing.T) {
	for _, volts := range [][]float64{{4.18, 4.18, 4.18}, {3.8, 3.8, 3.8}, {3.5, 3.5, 3.5}} {
		q := full()
		q.Pack.CellVoltagesV, q.Pack.Condition, q.CurvePoints = volts, []spec.Condition{spec.Swollen}, 5
		p := planner().Plan(q)
		assert.Equal(t, spec.VerdictStop, p.Verdict)
		assert.Nil(t, p.Settings)
		assert.Empty(t, p.Limits)
		assert.Empty(t, p.Phases)
		assert.Empty(t, p.Curve)
		assert.Empty(t, p.Alternatives)
		assert.Empty(t, p.Steps)
		assert.Nil(t, p.ChargeMAh)
		assert.NotNil(t, p.Ageing)
		require.NotEmpty(t, p.Findings)
		assert.NotEmpty(t, p.Findings[0].Remedy)
	}
}

// The charge counted is what is between the start and storage charge, up as down.
func TestTheChargeMovedIsWhatLiesBetween(t *testing.T) {
	curve := cell.NewTable().Get(spec.LiPo).Curve
	for _, volt := range []float64{4.18, 3.6} {
		q := full()
		q.Pack.CellVoltagesV, q.Pack.MeasuredCapacityMAh = []float64{volt, volt, volt}, ptr(2000.0)
		p := planner().Plan(q)
		z := curve.Charge(volt) - curve.Charge(3.8)
		assert.InEpsilon(t, max(z, -z)*2000, *p.ChargeMAh, 1e-8)
		last := p.Phases[len(p.Phases)-1]
		assert.InDelta(t, p.TargetChargePercent, last.EndChargePercent, 1e-6)
	}
}

// What a charger leaves undone that stops when the cells show 3.8 V under load is
// what lies between 3.8 V and that with the sag.
func TestAChargerThatStopsUnderLoadStopsShort(t *testing.T) {
	q := full()
	q.Charger.MaxDischargePowerW, q.Charger.MaxDischargeCurrentA, q.Charger.StorageProgram = nil, ptr(2.0), nil
	p := planner().Plan(q)
	curve := cell.NewTable().Get(spec.LiPo).Curve
	sag := *p.ReboundV
	assert.InEpsilon(t, 2*6.1e-3*(1+cell.NewTable().Get(spec.LiPo).PolarFactor.Value), sag, 1e-8)
	assert.InEpsilon(t, 3.8-sag, *p.LoadedStopVoltageV, 1e-8)
	assert.InEpsilon(t, (curve.Charge(3.8+sag)-curve.Charge(3.8))*2200, *p.LeftUndoneMAh, 1e-6)
	assert.Equal(t, storage.DischargeProgram, p.Settings.Program)
	assert.GreaterOrEqual(t, p.Settings.EndVoltagePerCellV, *p.LoadedStopVoltageV)
	assert.Less(t, p.Settings.EndVoltagePerCellV, *p.LoadedStopVoltageV+0.01)
}

// A load that the pack does not bear, and one that takes days, are not offered.
func TestUnfitLoadsAreNotOffered(t *testing.T) {
	q := full()
	q.Charger = nil
	for _, c := range []struct {
		amps float64
		want int
	}{{10, 3}, {100, 2}, {0.01, 2}} {
		q.Load = &spec.Load{Kind: spec.ConstantCurrent, CurrentA: &c.amps}
		p := planner().Plan(q)
		assert.Len(t, p.Alternatives, c.want, "%v A: %v", c.amps, kinds(p))
	}
}

// On a flat curve cells may hold far from the same and show nearly the same: where
// a charger would bleed nothing there is nothing to plan, and no curve of it.
func TestCellsThatLookBalancedAreLeft(t *testing.T) {
	q := full()
	q.Pack.Chemistry, q.Pack.CellsSeries, q.Pack.NominalVoltageV = spec.LiFePO4, 7, nil
	q.Pack.CellVoltagesV, q.Pack.CellResistancesMOhm = []float64{3.25, 3.23, 3.26, 3.23, 3.27, 3.263, 3.2357}, nil
	q.Charger.Chemistries, q.Charger.CellsSeriesMax, q.CurvePoints = []spec.Chemistry{spec.LiFePO4}, 8, 12
	p := planner().Plan(q)
	assert.Equal(t, storage.Leave, p.Action)
	assert.Contains(t, p.Because, "takes them for balanced")
	assert.Empty(t, p.Curve)
}

// Two plans at once, and one after the other, do not share what they work in.
func TestPlansDoNotShareMemory(t *testing.T) {
	pl, a, b := planner(), full(), full()
	b.Pack.CellVoltagesV, b.CurvePoints = []float64{4.1, 4.15, 4.18}, 20
	one, err := json.Marshal(pl.Plan(a))
	require.NoError(t, err)
	first := pl.Plan(a)
	pl.Plan(b)
	again, err := json.Marshal(first)
	require.NoError(t, err)
	assert.Equal(t, string(one), string(again))
}

func BenchmarkPlan(b *testing.B) {
	p, q := planner(), full()
	b.ReportAllocs()
	for b.Loop() {
		p.Plan(q)
	}
}

func BenchmarkPlanUp(b *testing.B) {
	p, q := planner(), full()
	q.Pack.CellVoltagesV = []float64{3.5, 3.5, 3.51}
	b.ReportAllocs()
	for b.Loop() {
		p.Plan(q)
	}
}
