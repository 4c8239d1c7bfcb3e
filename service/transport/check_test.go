package transport_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/transport"
)

func checker() *transport.Checker { return transport.NewChecker(cell.NewTable(), rule.All()) }

func ptr[T any](x T) *T { return &x }

func ask(t testing.TB, q *transport.Request) *transport.Answer {
	t.Helper()
	require.Empty(t, spec.NewValidator().Validate(q))
	return checker().Check(q)
}

func ids(list []spec.Finding) []string {
	out := []string{}
	for _, f := range list {
		out = append(out, string(f.Severity)+" "+f.Rule)
	}
	return out
}

// The label's own figures count; where they differ, the largest.
func TestTheEnergyIsThatOfTheLabel(t *testing.T) {
	for _, c := range []struct {
		name        string
		pack        spec.Pack
		wh          float64
		from        transport.EnergyFrom
		contradicts bool
		assumedV    any
	}{
		{"nothing printed", spec.Pack{Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 2200}, 24.42, transport.ChemistryNominal, false, 11.1},
		{"nothing printed, two nominal voltages", spec.Pack{Chemistry: spec.LiHV, CellsSeries: 6, CapacityMAh: 5000}, 115.5, transport.ChemistryNominal, false, 23.1},
		{"nothing printed, the other one higher", spec.Pack{Chemistry: spec.LiIon, CellsSeries: 1, CapacityMAh: 1000}, 3.7, transport.ChemistryNominal, false, 3.7},
		{"volts printed", spec.Pack{Chemistry: spec.LiIon, CellsSeries: 2, CapacityMAh: 3000, NominalVoltageV: ptr(7.2)}, 21.6, transport.PrintedVoltage, false, nil},
		{"watt hours printed", spec.Pack{Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 2200, EnergyWh: ptr(24.4)}, 24.4, transport.PrintedEnergy, false, nil},
		{"both, watt hours rounded up", spec.Pack{Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 2200, NominalVoltageV: ptr(11.1), EnergyWh: ptr(25.0)}, 25, transport.PrintedEnergy, false, nil},
		{"both, watt hours too low", spec.Pack{Chemistry: spec.LiPo, CellsSeries: 6, CapacityMAh: 5000, NominalVoltageV: ptr(22.2), EnergyWh: ptr(99.0)}, 111, transport.PrintedVoltage, true, nil},
		{"volts of fewer cells", spec.Pack{Chemistry: spec.LiPo, CellsSeries: 6, CapacityMAh: 5000, NominalVoltageV: ptr(11.1)}, 111, transport.ChemistryNominal, true, nil},
		{"watt hours of fewer cells", spec.Pack{Chemistry: spec.LiPo, CellsSeries: 6, CapacityMAh: 5000, EnergyWh: ptr(55.5)}, 111, transport.ChemistryNominal, true, nil},
		{"volts of more cells", spec.Pack{Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 5000, NominalVoltageV: ptr(22.2)}, 111, transport.PrintedVoltage, true, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := ask(t, &transport.Request{Packs: []spec.Pack{c.pack}, Mode: spec.AirCarryOn})
			assert.InEpsilon(t, c.wh, a.Packs[0].EnergyWh, 1e-9)
			assert.InEpsilon(t, c.wh, a.EnergyWh, 1e-9)
			assert.Equal(t, c.from, a.Packs[0].EnergyFrom)
			assert.Equal(t, c.contradicts, strings.Contains(strings.Join(ids(a.Findings), ","), "caution moved-energy-contradicts"))
			if c.assumedV == nil {
				assert.Empty(t, a.Assumed)
			} else if assert.Len(t, a.Assumed, 1) {
				assert.Equal(t, "/packs/0/nominal_voltage_v", a.Assumed[0].Field)
				assert.InEpsilon(t, c.assumedV, a.Assumed[0].Value, 1e-9)
			}
		})
	}
}

// A rested voltage tells the charge only so well: in doubt the pack holds too much.
func TestInDoubtAPackHoldsTooMuch(t *testing.T) {
	table := cell.NewTable()
	cargo := func(p spec.Pack) *transport.Answer {
		p.CellsSeries, p.CapacityMAh = 2, 2200
		return ask(t, &transport.Request{Packs: []spec.Pack{p}, Mode: spec.AirCargo, Installed: ptr(false), AsOf: "2026-11-25"})
	}
	for _, name := range []spec.Chemistry{spec.LiPo, spec.LiHV, spec.LiIon, spec.LiFePO4} {
		c := table.Get(name)
		v30 := c.Curve.Voltage(0.30)
		off := c.CurveFrom.Value
		at := cargo(spec.Pack{Chemistry: name, PackVoltageV: ptr(2 * v30)})
		assert.Contains(t, ids(at.Findings), "stop cargo-charge-over-30", "%s: just at 30 %% by its voltage", name)
		below := cargo(spec.Pack{Chemistry: name, PackVoltageV: ptr(2 * (v30 - off - 0.001))})
		assert.NotContains(t, ids(below.Findings), "stop cargo-charge-over-30", "%s: surely below", name)
		// The fullest cell counts.
		uneven := cargo(spec.Pack{Chemistry: name, CellVoltagesV: []float64{v30 - off - 0.1, v30}})
		assert.Contains(t, ids(uneven.Findings), "stop cargo-charge-over-30", "%s: one cell is fuller", name)
	}
}

// Unknown is never passed.
func TestWhatIsNotKnownIsNotEvaluated(t *testing.T) {
	bare := spec.Pack{Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 2200}
	a := ask(t, &transport.Request{Packs: []spec.Pack{bare, bare}, Mode: spec.AirCargo})
	missing := map[string][]string{}
	for _, n := range a.NotEvaluated {
		assert.NotContains(t, missing, n.Rule, "each rule stands once")
		missing[n.Rule] = n.Missing
	}
	assert.Equal(t, []string{
		"/installed", "/packs/0/cell_voltages_v", "/packs/0/pack_voltage_v", "/packs/0/charge_percent",
		"/packs/1/cell_voltages_v", "/packs/1/pack_voltage_v", "/packs/1/charge_percent",
	}, missing["cargo-charge-over-30"])
	assert.Equal(t, []string{"/packs/0/condition", "/packs/1/condition"}, missing["air-damaged-forbidden"])
	assert.Equal(t, []string{"/installed"}, missing["cargo-aircraft-only"])
	assert.Equal(t, "/as_of", a.Assumed[len(a.Assumed)-1].Field)
}

func TestNickelIsNotLithium(t *testing.T) {
	p := spec.Pack{Chemistry: spec.NiMH, CellsSeries: 10, CapacityMAh: 50000, ChargePercent: ptr(100.0), Condition: []spec.Condition{}}
	for _, mode := range spec.Road.Enum() {
		a := ask(t, &transport.Request{Packs: []spec.Pack{p, p, p}, Mode: spec.TransportMode(mode), Installed: ptr(false)})
		assert.Empty(t, a.Findings, mode)
		assert.Empty(t, a.NotEvaluated, mode)
		assert.Equal(t, transport.NotLithium, a.Category)
		assert.Contains(t, strings.Join(a.Cautions, "\n"), "not lithium")
		assert.NotContains(t, strings.Join(a.Cautions, "\n"), "38.3")
	}
}

// The findings point at their packs, and each pack has its own verdict.
func TestEveryPackHasItsOwnVerdict(t *testing.T) {
	sound := spec.Pack{ID: "tq-001", Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 2200, NominalVoltageV: ptr(11.1), Condition: []spec.Condition{}}
	swollen := sound
	swollen.ID, swollen.Condition = "tq-008", []spec.Condition{spec.UnknownHistory, spec.Swollen}
	a := ask(t, &transport.Request{Packs: []spec.Pack{sound, swollen}, Mode: spec.AirCarryOn, Installed: ptr(false)})
	assert.Equal(t, spec.VerdictStop, a.Verdict)
	assert.Equal(t, spec.VerdictClear, a.Packs[0].Verdict)
	assert.Equal(t, spec.VerdictStop, a.Packs[1].Verdict)
	require.Len(t, a.Findings, 1)
	assert.Equal(t, []string{"/packs/1/condition/1"}, a.Findings[0].At)
}

func BenchmarkCheck(b *testing.B) {
	c := checker()
	one := spec.Pack{Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 2200, NominalVoltageV: ptr(11.1), CellVoltagesV: []float64{3.7, 3.71, 3.7}, Condition: []spec.Condition{}}
	for name, n := range map[string]int{"one": 1, "most": 200} {
		q := &transport.Request{Mode: spec.AirCargo, Installed: ptr(false), AsOf: "2026-11-25"}
		for range n {
			q.Packs = append(q.Packs, one)
		}
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				c.Check(q)
			}
		})
	}
}
