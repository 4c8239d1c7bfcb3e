package property

import (
	"math"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/runtime"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/storage"
)

// A storage plan works the run down to storage charge out by one resistance and the
// mean current at each voltage; a run-time estimate follows the load with its
// polarization and its heat. With storage charge as the reserve both must say the same
// time: of a current to the last digit, of a power or a resistance within the share
// of the voltage that is lost inside, because in a run of minutes polarization has not
// built up and heat takes some of it away, and of a cycle within one round besides.
func TestAStoragePlanAndARunTimeEstimateAgree(t *testing.T) {
	t.Parallel()
	store, runs := storer(), runtime.NewEstimator(cell.NewTable(), rule.All())
	agreed := map[spec.LoadKind]int{}
	rapid.Check(t, func(t *rapid.T) {
		q := equalStored(t)
		q.Charger = nil
		ah := q.Pack.CapacityMAh / 1000
		rate := between(0.5, 8).Draw(t, "C")
		round := 0.0
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			q.Load = &spec.Load{Kind: spec.ConstantCurrent, CurrentA: new(rate * ah)}
		case 1:
			q.Load = &spec.Load{Kind: spec.ConstantPower, PowerW: new(rate * ah * 11)}
		case 2:
			q.Load = &spec.Load{Kind: spec.ConstantResistance, ResistanceOhm: new(12 / (rate * ah))}
		default:
			q.Load = &spec.Load{Kind: spec.Cycle, Segments: []spec.Segment{
				{DurationS: 4, CurrentA: new(rate * ah)}, {DurationS: 3, PowerW: new(rate * ah * 5)}, {DurationS: 2, CurrentA: new(0.0)},
			}}
			round = 9.0 / 60
		}
		p := store.Plan(q)
		var run *storage.ModelRun
		for _, a := range p.Alternatives {
			if a.Run != nil {
				run = a.Run
			}
		}
		if run == nil {
			t.Skip("near enough, or more than the pack bears")
		}
		reserve := p.TargetChargePercent
		est := runs.Estimate(&runtime.Request{Pack: q.Pack, Load: *q.Load, Cutoff: &runtime.Cutoff{ReservePercent: &reserve, CellVoltageV: new(0.1)}})
		if est.StoppedBy != runtime.ByReserve {
			t.Skip("too hot, or too much")
		}
		part := 1e-6
		if q.Load.Kind != spec.ConstantCurrent {
			part = 0.005 + 1.5*rate*ah*worstOhm(q)/3.2
		}
		if off := math.Abs(est.Runtime.ExpectedMin - run.ExpectedMin); off > part*run.ExpectedMin+round {
			body, err := json.Marshal(q)
			require.NoError(t, err)
			t.Fatalf("%v min by the storage plan, %v min by the estimate: %s", run.ExpectedMin, est.Runtime.ExpectedMin, body)
		}
		agreed[q.Load.Kind]++
	})
	t.Log(agreed)
	require.Len(t, agreed, 4)
}
