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

func TestShow(t *testing.T) {
	show := func(q *storage.Request) {
		b, err := json.MarshalIndent(planner().Plan(q), "", " ")
		require.NoError(t, err)
		t.Log(string(b))
	}
	show(full())
	q := full()
	q.Pack.CellVoltagesV = []float64{3.5, 3.5, 3.51}
	show(q)
	assert.True(t, true)
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
