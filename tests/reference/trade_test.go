package reference_test

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/check"
	"github.com/wattkeel/wattkeel/service/spec"
)

// trade is a rule of the trade: true for everybody who does this, and written
// in no single document.
func trade(what string) source { return source{what, practice} }

func crate() source {
	return source{"10 CFR 430 subpart B app. Y 2.10, C-rate", read}
}

// hobby is a charger set in tenths of an ampere, as most are (common practice).
const hobby = `{"chemistries": ["lipo"], "cells_series_min": 1, "cells_series_max": 8, "min_charge_current_a": 0.1, "max_charge_current_a": 30,
  "charge_current_step_a": 0.1, "balance": "with_main_lead"}`

func pack3S(t *testing.T, capacity float64, more, goal string) *charge.Plan {
	t.Helper()
	return settled(t, fmt.Sprintf(`"chemistry": "lipo", "cells_series": 3, "capacity_mah": %g%s`, capacity, more), hobby, goal)
}

// currentRows are the rules about amperes, for a charger that is told by
// times the capacity.
func currentRows(t *testing.T, by float64) []row {
	t.Helper()
	oneC := trade("1 C in amperes is the capacity in ampere hours")
	at := func(capacity float64, more, goal string) float64 {
		return pack3S(t, capacity*by, more, goal).Settings.CurrentA
	}
	quick := pack3S(t, 2200*by, `, "max_charge_c_rate": 5, "charge_percent": 20`, `, "goal": {"pace": "quick"}`)
	return []row{
		num("t1", "2200 mAh at 1 C, A", 2.2, at(2200, "", ""), exactly(), oneC),
		num("t1", "5000 mAh at 1 C, A", 5, at(5000, "", ""), exactly(), oneC),
		num("t1", "1300 mAh at 1 C, A", 1.3, at(1300, "", ""), exactly(), oneC),
		within("t1", "950 mAh at 1 C, nothing printed, A", 0.9, 1.0, at(950, "", ""), "0.95 A, in steps of 0.1 A", oneC),
		within("t1", "950 mAh at 1 C, 2 C printed, A", 0.9, 1.0, at(950, `, "max_charge_c_rate": 2`, ""), "0.95 A, in steps of 0.1 A; 1.0 A is acceptable", oneC),
		num("t2", "2200 mAh, 5 C printed, quick: A", 11, quick.Settings.CurrentA, exactly(), trade("11 A is 5 C of 2200 mAh")),
		num("t2", "the same as a rate", 5, quick.Settings.CurrentCRate, exactly(), trade("11 A is 5 C of 2200 mAh")),
		num("t3", "2200 mAh, gentle: A", 1.1, at(2200, "", `, "goal": {"pace": "gentle"}`), exactly(), trade("half of 1 C is gentle")),
	}
}

func TestCurrentsOfTheTrade(t *testing.T) {
	checkTable(t, "amperes and capacity", currentRows(t, 1))
	mustFail(t, "a label read a tenth too high", 5, currentRows(t, 1.1))
}

// unitRows are the published sentences about rates and units (section 11).
func unitRows(t *testing.T, by float64) []row {
	t.Helper()
	guide := source{"MIT Electric Vehicle Team, A Guide to Understanding Battery Specifications (2008)", read}
	it := source{"EN 61434 by a stored glossary: It [A] = Cn [Ah] / 1 h", read}
	large := func(goal string) float64 {
		return settled(t, fmt.Sprintf(`"chemistry": "lipo", "cells_series": 1, "capacity_mah": %g, "max_charge_c_rate": 5, "charge_percent": 20`, 100000*by), bench, goal).Settings.CurrentA
	}
	fifth := settled(t, fmt.Sprintf(`"chemistry": "lipo", "cells_series": 1, "capacity_mah": %g, "charge_percent": 20`, 2200*by), bench, `, "goal": {"current_a": 0.44}`)
	hours := settled(t, fmt.Sprintf(`"chemistry": "lipo", "cells_series": 1, "capacity_mah": %g, "charge_percent": 0`, 2200*by), bench, `, "goal": {"current_a": 0.44}`)
	label := func(wh float64) string {
		p := plan(t, fmt.Sprintf(`"chemistry": "lipo", "cells_series": 3, "cells_parallel": 2, "capacity_mah": %g, "nominal_voltage_v": 11.1, "energy_wh": %g, "charge_percent": 20`, 5000*by, wh), bench, "")
		return found(p.Findings, "label-energy-contradicts")
	}
	energy := source{"49 CFR 171.8: watt hours are rated ampere hours times nominal volts", read}
	return []row{
		num("11", "0.2 It of 2200 mAh is 0.44 A: rate", 0.2, fifth.Settings.CurrentCRate, exactly(), it),
		num("11", "0.2 C fills an empty pack in 5 h", 5, hours.Duration.ExpectedMin/60, tol{rel: 0.02, why: "the last percent is at constant voltage: 1 % less charge, a few minutes more"}, crate()),
		num("11", "100 Ah at 1 C, A", 100, large(""), exactly(), guide),
		num("11", "100 Ah at 5 C, A", 500, large(`, "goal": {"pace": "quick"}`), exactly(), guide),
		num("11", "100 Ah at C/2, A", 50, large(`, "goal": {"pace": "gentle"}`), exactly(), guide),
		word("11", "3S2P of 3.7 V, 2.5 Ah cells labelled 55.5 Wh", "none", label(55.5), energy),
		word("11", "the same labelled 27.75 Wh", "caution", label(27.75), energy),
	}
}

func TestUnits(t *testing.T) {
	checkTable(t, "rates and units", unitRows(t, 1))
	mustFail(t, "a label read a tenth too high", 6, unitRows(t, 1.1))
}

var wires = regexp.MustCompile(`\((\d+) wires for (\d+) cells?\)`)

// wiresTold reads off the plan's steps how many wires the balance lead has.
func wiresTold(t *testing.T, cells int) (told, of float64) {
	t.Helper()
	p := settled(t, fmt.Sprintf(`"chemistry": "lipo", "cells_series": %d, "capacity_mah": 2200, "charge_percent": 20`, cells), hobby, "")
	m := wires.FindStringSubmatch(strings.Join(p.Steps, "\n"))
	require.NotNil(t, m, "%v", p.Steps)
	w, err := strconv.Atoi(m[1])
	require.NoError(t, err)
	n, err := strconv.Atoi(m[2])
	require.NoError(t, err)
	return float64(w), float64(n)
}

// packRows are the rules about volts, wires and time, for a pack of extra
// cells more than said.
func packRows(t *testing.T, extra int) []row {
	t.Helper()
	full := trade("a 3S pack is full at 12.6 V, 4.2 V a cell")
	p := settled(t, fmt.Sprintf(`"chemistry": "lipo", "cells_series": %d, "capacity_mah": 2200, "charge_percent": 20`, 3+extra), hobby, "")
	last := p.Phases[len(p.Phases)-1]
	rows := []row{
		num("t4", "3S, end-of-charge volts", 12.6, *p.Settings.EndVoltageV, exactly(), full),
		num("t4", "3S, volts of a cell", 4.2, *p.Settings.EndVoltagePerCellV, exactly(), full),
		num("t4", "3S, volts where the charge ends", 12.6, *last.EndVoltageV, exactly(), full),
		num("t4", "3S, amperes where the charge ends, a tenth of 1 C", 0.22, last.EndCurrentA, exactly(), trade("a charge ends at a tenth of 1 C")),
	}
	for n := 2; n <= 6; n++ {
		told, of := wiresTold(t, n+extra)
		rows = append(rows,
			num("t5", fmt.Sprintf("%dS, wires of the balance lead", n), float64(n+1), told, exactly(), trade("a balance lead has one wire more than cells")),
			num("t5", fmt.Sprintf("%dS, cells it is said to be for", n), float64(n), of, exactly(), trade("a balance lead has one wire more than cells")))
	}
	for _, c := range []spec.Chemistry{spec.LiPo, spec.LiIon} {
		rows = append(rows, num("t6", string(c)+", storage volts of a cell", 3.8, chemistry(t, c).StorageV.Value, exactly(), trade("storage is 3.8 V a cell")))
	}
	return append(rows, within("t6", "lihv, storage volts of a cell", 3.80, 3.85, chemistry(t, spec.LiHV).StorageV.Value, "as the trade says", trade("storage is 3.80 to 3.85 V a cell")))
}

func TestPacksOfTheTrade(t *testing.T) {
	checkTable(t, "volts and wires", packRows(t, 0))
	mustFail(t, "one cell more", 12, packRows(t, 1))
}

// hourRows: a charge at 1 C of a pack that is not quite empty takes about an
// hour.
func hourRows(t *testing.T, goal string) []row {
	t.Helper()
	hour := trade("a 1 C charge of a pack that is not quite empty takes about an hour")
	var rows []row
	for _, capacity := range []float64{950, 2200, 5000} {
		for _, percent := range []float64{5, 10, 15} {
			p := pack3S(t, capacity, fmt.Sprintf(`, "max_charge_c_rate": 1, "charge_percent": %g`, percent), goal)
			rows = append(rows, num("t7", fmt.Sprintf("%g mAh from %g %%, minutes", capacity, percent), 60, p.Duration.ExpectedMin,
				tol{abs: 12, why: "about an hour: within a fifth"}, hour))
		}
	}
	return rows
}

func TestAnHourAtOneC(t *testing.T) {
	checkTable(t, "a charge at 1 C", hourRows(t, ""))
	mustFail(t, "half the rate", 9, hourRows(t, `, "goal": {"pace": "gentle"}`))
}

// idleRows: more than a week idle, storage charge.
func idleRows(t *testing.T, more float64) []row {
	t.Helper()
	week := trade("more than a week idle: storage charge")
	checker := check.NewChecker(planner())
	idle := func(rule string, percent, days float64) string {
		days += more
		return found(checker.Check(&check.Request{Pack: spec.Pack{Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 2200, ChargePercent: &percent}, IdleDays: &days}).Findings, rule)
	}
	advice := "none"
	for _, c := range pack3S(t, 2200, "", "").Cautions {
		if strings.Contains(c, "within a week") && strings.Contains(c, "storage charge") {
			advice = "given"
		}
	}
	return []row{
		word("t8", "full, idle for 6 days", "none", idle("stored-full", 100, 6), week),
		word("t8", "full, idle for 7 days", "none", idle("stored-full", 100, 7), week),
		word("t8", "full, idle for 8 days", "caution", idle("stored-full", 100, 8), week),
		word("t8", "at storage charge, idle for 60 days", "none", idle("stored-full", 50, 60), week),
		word("t8", "empty, idle for 8 days", "caution", idle("stored-empty", 5, 8), week),
		word("t8", "the advice with every plan", "given", advice, week),
	}
}

func TestIdlePacks(t *testing.T) {
	checkTable(t, "packs left idle", idleRows(t, 0))
	mustFail(t, "a day more than said", 1, idleRows(t, 1))
}
