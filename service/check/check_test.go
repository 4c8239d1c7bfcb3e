package check

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

func checker() *Checker {
	return NewChecker(charge.NewPlanner(cell.NewTable(), rule.All()))
}

func missing(a *Answer, id string) []string {
	for _, n := range a.NotEvaluated {
		if n.Rule == id {
			return n.Missing
		}
	}
	return nil
}

// A pack alone: what needs a charger is not passed, it is not evaluated.
func TestPackAloneLeavesChargerRulesOpen(t *testing.T) {
	a := checker().Check(&Request{Pack: spec.Pack{Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 2200}})
	assert.Equal(t, spec.VerdictClear, a.Verdict)
	assert.Equal(t, []string{"/charger"}, missing(a, "chemistry-not-supported"))
	assert.Equal(t, []string{"/settings/current_a"}, missing(a, "charge-current-over-label"))
	assert.NotNil(t, a.Findings)
}

// A cell count set one too high is what starts fires.
func TestCellCountSetOneTooHighStops(t *testing.T) {
	n := 4
	a := checker().Check(&Request{
		Pack:     spec.Pack{Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 2200},
		Settings: &spec.IntendedSettings{CellsSeries: &n},
	})
	assert.Equal(t, spec.VerdictStop, a.Verdict)
	assert.Equal(t, "cell-count-set-wrong", a.Findings[0].Rule)
}

// Milliampere hours read as milliamperes: 2200 mAh set as 22 A.
func TestCurrentTenTimesTooHighStops(t *testing.T) {
	amps := 22.0
	a := checker().Check(&Request{
		Pack:     spec.Pack{Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 2200},
		Charger:  &spec.Charger{Chemistries: []spec.Chemistry{spec.LiPo}, CellsSeriesMin: 1, CellsSeriesMax: 6, MaxChargeCurrentA: 30, Balance: spec.BalanceWithMainLead},
		Settings: &spec.IntendedSettings{CurrentA: &amps},
	})
	assert.Equal(t, spec.VerdictStop, a.Verdict)
	assert.Equal(t, "charge-current-over-label", a.Findings[0].Rule)
	assert.Equal(t, 2.2, *a.Findings[0].Limit)
}
