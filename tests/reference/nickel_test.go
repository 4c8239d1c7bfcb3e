package reference_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/spec"
)

func nickelStandard() source {
	return source{"IEC 61951-2:2017, as summarized by Quintero Pulido et al., Batteries 11(1), 30 (2025)", read}
}

func smallCell() source {
	return source{"a small nimh cell's published specification", read}
}

func nickel(t *testing.T, cells int, capacity float64, more, goal string) *charge.Plan {
	t.Helper()
	return plan(t, fmt.Sprintf(`"chemistry": "nimh", "cells_series": %d, "capacity_mah": %g%s`, cells, capacity, more), bench, goal)
}

// standardRows are check 9a: the standard charge of a pack that prints nothing.
func standardRows(t *testing.T, capacity float64) []row {
	t.Helper()
	p := nickel(t, 6, capacity, "", "")
	require.NotNil(t, p.Settings)
	n := p.Settings.Termination
	return []row{
		num("9a", "3000 mAh, nothing printed: A", 0.3, p.Settings.CurrentA, exactly(), nickelStandard()),
		num("9a", "minutes", 960, p.Duration.ExpectedMin, exactly(), nickelStandard()),
		num("9a", "mAh put in", 4800, *p.ChargeMAh, exactly(), nickelStandard()),
		num("9a", "the time limit set, minutes", 960, p.Settings.TimeLimitMin, exactly(), nickelStandard()),
		num("9a", "mAh in for each mAh stored, at C/10", 1.5, *p.ChargeMAh/capacity, tol{abs: 0.15, why: "about 66 % efficiency, 150 in for 100 out; 16 h make 160"}, source{"several pages: about 66 % efficiency at C/10", read}),
		word("9a", "what ends it", "time", string(n.Method), source{"termination by voltage is unreliable at 0.1 C", read}),
	}
}

func TestNickelStandardCharge(t *testing.T) {
	checkTable(t, "the standard charge", standardRows(t, 3000))
	mustFail(t, "a pack of 3100 mAh", 2, standardRows(t, 3100))
}

// fastRows are check 9b and the rest of the published fast charge.
func fastRows(t *testing.T, cells int, rate float64) []row {
	t.Helper()
	at := func(rate float64) *charge.Plan {
		p := nickel(t, cells, 3000, `, "max_charge_c_rate": 1`, fmt.Sprintf(`, "goal": {"current_a": %g}`, rate*3))
		require.NotNil(t, p.Settings, "%v", p.Findings)
		return p
	}
	one, half := at(rate), at(0.5)
	n := one.Settings.Termination
	cutoff := n.TemperatureCutoffDegC
	return []row{
		word("9b", "what ends it", "voltage_drop", string(n.Method), smallCell()),
		num("9b", "6 cells, voltage drop in mV", 30, *n.VoltageDropMV, exactly(), smallCell()),
		num("9b", "voltage drop of a cell in mV", 5, *n.VoltageDropPerCellMV, exactly(), smallCell()),
		num("9b", "temperature slope at 1 C, K/min", 0.9, *n.TemperatureSlopeKPerMin, exactly(), smallCell()),
		num("9b", "temperature slope at 0.5 C, K/min", 0.8, *half.Settings.Termination.TemperatureSlopeKPerMin, exactly(), smallCell()),
		within("9b", "temperature cut-off, °C", 45, 55, cutoff, "the range published", smallCell()),
		within("9b", "minutes at the start in which a drop means nothing", 5, 15, *n.IgnoreFirstMin, "the range published", source{"a charger note", read}),
		num("9b", "percent of capacity put in at 1 C", 105, *one.ChargeMAh/30, exactly(), smallCell()),
		num("9b", "minutes at 1 C", 63, one.Duration.ExpectedMin, exactly(), source{"105 % of the capacity at 1 C", computed}),
	}
}

func TestNickelFastCharge(t *testing.T) {
	checkTable(t, "the fast charge", fastRows(t, 6, 1))
	mustFail(t, "7 cells at 0.98 C", 3, fastRows(t, 7, 0.98))
}

// nickelRules are checks 9c to 9e: what a nimh pack must not be asked to do.
func nickelRules(t *testing.T, rate float64, chem string) []row {
	t.Helper()
	p := nickel(t, 6, 3000, `, "max_charge_c_rate": 2`, fmt.Sprintf(`, "goal": {"current_a": %g}`, rate*3))
	quick := nickel(t, 6, 3000, `, "max_charge_c_rate": 2`, `, "goal": {"pace": "quick"}`)
	require.NotNil(t, quick.Settings)
	faultAt := func(more string) string {
		q := request(t, fmt.Sprintf(`"chemistry": "%s", "cells_series": 6, "capacity_mah": 3000`, chem), bench, more)
		for _, e := range spec.NewValidator().Validate(q) {
			return e.Pointer
		}
		return "accepted"
	}
	method := source{"no constant-voltage stage for nimh: sec. 9", read}
	zone := func(degC float64) string {
		z := nickel(t, 6, 3000, fmt.Sprintf(`, "max_charge_c_rate": 1, "temperature_degc": %g`, degC), "")
		if z.Verdict == spec.VerdictStop {
			return "stop"
		}
		return fmt.Sprintf("%g C", z.Settings.CurrentCRate)
	}
	return []row{
		num("9c", "6 cells, volts at the end of a discharge", 6.0, 6*chemistry(t, spec.NiMH).LoadedFloor.Value, exactly(), nickelStandard()),
		word("9d", "2 C asked for", "stop", string(p.Verdict), smallCell()),
		word("9d", "2 C asked for: the rule", "stop", found(p.Findings, "charge-current-over-label"), smallCell()),
		num("9d", "a label of 2 C, charged quickly: C", 1, quick.Settings.CurrentCRate, exactly(), smallCell()),
		word("9e", "4.2 V a cell asked for: the field refused", "/target_cell_voltage_v", faultAt(`, "target_cell_voltage_v": 4.2`), method),
		word("9e", "a taper asked for: the field refused", "/taper_c_rate", faultAt(`, "taper_c_rate": 0.05`), method),
		word("9", "at -1 °C", "stop", zone(-1), smallCell()),
		word("9", "at 5 °C: the standard rate only", "0.1 C", zone(5), smallCell()),
		word("9", "at 20 °C", "1 C", zone(20), smallCell()),
		word("9", "at 41 °C", "stop", zone(41), fireAdministration()).report("looser",
			"the fire body would charge nothing above 40 °C; the cell's own specification goes to 45 °C, and the service follows it at 0.5 C with a caution"),
		word("9", "at 46 °C", "stop", zone(46), smallCell()),
	}
}

func TestNickelRules(t *testing.T) {
	checkTable(t, "what nimh must not be asked", nickelRules(t, 2, "nimh"))
	mustFail(t, "1 C asked for, and lipo in the refused request", 4, nickelRules(t, 1, "lipo"))
}
