package reference_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/storage"
)

func ageingPaper() source {
	return source{"J. Schmalstieg et al., J. Power Sources 257, 325-334 (2014), formula as coded in a national laboratory's library", read}
}

// stored is the plan of a valid storage request.
func stored(t testing.TB, body string) *storage.Plan {
	t.Helper()
	q := &storage.Request{}
	require.NoError(t, json.Unmarshal([]byte(body), q, json.RejectUnknownMembers(true)), body)
	require.Empty(t, spec.NewValidator().Validate(q))
	return storage.NewPlanner(cell.NewTable(), rule.All(), planner()).Plan(q)
}

// ageingRows are the published checks 6a to 6e, for a loss that is told times what
// it is.
func ageingRows(t *testing.T, by float64) []row {
	t.Helper()
	percent := func(volt, degC, days float64) float64 { return cell.CalendarLoss(volt, degC, days) * 100 * by }
	asked := stored(t, `{"pack": {"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2200, "charge_percent": 100}, "idle_days": 365, "surroundings": {"ambient_degc": 25}}`).Ageing
	oneInHundred := tol{rel: 0.01, why: "as the check says; the published figures have three digits"}
	half := tol{rel: 0.005, why: "as the check says"}
	return []row{
		num("6a", "a year at 25 °C and 3.80 V, %", 2.83, percent(3.80, 25, 365), oneInHundred, ageingPaper()),
		num("6a", "a year at 25 °C and 4.20 V, %", 4.57, percent(4.20, 25, 365), oneInHundred, ageingPaper()),
		num("6a", "the same in an answer: left full, %", 4.57, asked.AsItStands.ExpectedPercent*by, oneInHundred, ageingPaper()),
		num("6a", "the same in an answer: at storage charge, %", 2.83, asked.AtStorageCharge.ExpectedPercent*by, oneInHundred, ageingPaper()),
		num("6b", "a year at 40 °C and 3.80 V, %", 8.68, percent(3.80, 40, 365), oneInHundred, ageingPaper()),
		num("6b", "a year at 40 °C and 4.20 V, %", 14.01, percent(4.20, 40, 365), oneInHundred, ageingPaper()),
		num("6c", "30 days at 25 °C and 3.80 V, %", 0.434, percent(3.80, 25, 30), oneInHundred, ageingPaper()),
		num("6c", "30 days at 25 °C and 4.20 V, %", 0.701, percent(4.20, 25, 30), oneInHundred, ageingPaper()),
		num("6d", "4.20 V against 3.80 V", 1.614, percent(4.20, 25, 365)/percent(3.80, 25, 365), half, ageingPaper()),
		num("6d", "40 °C against 25 °C", 3.067, percent(3.80, 40, 365)/percent(3.80, 25, 365), half, ageingPaper()),
		num("6e", "twice the days", math.Pow(2, 0.75), percent(3.80, 25, 60)/percent(3.80, 25, 30), exactly(), ageingPaper()),
	}
}

func TestCalendarAgeing(t *testing.T) {
	checkTable(t, "calendar ageing", ageingRows(t, 1))
	mustFail(t, "a fiftieth more loss", 8, ageingRows(t, 1.02))
	for _, x := range [][2]float64{{cell.CalendarLoss(3.8, 25, 30), cell.CalendarLoss(3.8, 26, 30)}, {cell.CalendarLoss(3.8, 25, 30), cell.CalendarLoss(3.81, 25, 30)}, {cell.CalendarLoss(3.8, 25, 30), cell.CalendarLoss(3.8, 25, 31)}} {
		require.Less(t, x[0], x[1], "6e: warmer, higher, longer: more loss")
	}
	require.Zero(t, cell.CalendarLoss(3.148, 25, 365), "no gain below 3.149 V")
}

func leakRows(t *testing.T, by float64) []row {
	t.Helper()
	left := func(name spec.Chemistry, months float64) float64 {
		return math.Exp(-chemistry(t, name).Leak.PerDay().Expected*months*365.25/12*by) * 100
	}
	return []row{
		num("6f", "nimh after two months at 30 % a month, % left", 49.0, left(spec.NiMH, 2), tol{rel: 0.005, why: "as the check says"}, source{"Journal of Renewable Energy 2024, 2329261, table 3", read}),
		num("6g", "lithium ion after three months at 2 % a month, % left", 94.1, left(spec.LiIon, 3), tol{rel: 0.002, why: "as the check says"}, source{"encyclopedia pages, 2 to 3 % a month", read}),
		num("6g", "months from full to 52 % at 2 % a month", math.Log(0.52025)/math.Log(0.98), waitDays(t)*by/(365.25/12), exactly(), source{"compound loss: ln 0.52025 / ln 0.98", memory}),
	}
}

// waitDays is how long a full pack is said to take by self-discharge.
func waitDays(t *testing.T) float64 {
	t.Helper()
	for _, a := range stored(t, `{"pack": {"chemistry": "lipo", "cells_series": 1, "capacity_mah": 1000, "charge_percent": 100}}`).Alternatives {
		if a.Kind == storage.ByWaiting {
			return a.Wait.ExpectedDays
		}
	}
	return math.NaN()
}

func TestSelfDischarge(t *testing.T) {
	checkTable(t, "self-discharge", leakRows(t, 1))
	mustFail(t, "a fifth faster", 3, leakRows(t, 1.2))
}

// resistorOf is the resistor offered for a full pack of three cells at 12.6 V,
// chosen for half of its capacity an hour.
func resistorOf(t *testing.T, capacity float64) *storage.Resistor {
	t.Helper()
	p := stored(t, fmt.Sprintf(`{"pack": {"chemistry": "lipo", "cells_series": 3, "capacity_mah": %g, "cell_voltages_v": [4.2, 4.2, 4.2], "cell_resistances_mohm": [0.01, 0.01, 0.01]}}`, capacity))
	for _, a := range p.Alternatives {
		if a.Kind == storage.ThroughResistor {
			return a.Resistor
		}
	}
	return &storage.Resistor{}
}

// resistorRows are worked out by hand: Ohm's law on 12.6 V, and the next value of
// the series E24.
func resistorRows(t *testing.T, by float64) []row {
	t.Helper()
	ohm := source{"Ohm's law by hand", read}
	e24 := source{"IEC 60063, series E24: … 8.2 9.1 10 11 12 13 15 16 18 20 22 24 27 30 …", memory}
	small := tol{rel: 3e-5, why: "the pack's own 0.1 milliohm beside the resistor"}
	r := resistorOf(t, 2520*by) // 1.26 A: 10 ohms just
	rows := []row{
		num("r1", "12.6 V for 1.26 A: ohms", 10, r.ResistanceOhm, exactly(), e24),
		num("r1", "12.6 V over 10 ohms, A", 1.26, r.StartCurrentA, small, ohm),
		num("r1", "12.6 V over 10 ohms, W", 15.876, r.DissipationW, small, ohm),
		num("r1", "twice 15.9 W as sold, W", 50, r.RatingW, exactly(), trade("resistors are sold at 25 and 50 W")),
	}
	for _, x := range []struct{ mah, ohms, watts float64 }{
		{2200, 12, 50},  // 11.45 ohms wanted; 13.2 W
		{1300, 20, 25},  // 19.4; 7.9 W
		{850, 30, 25},   // 29.6; 5.3 W
		{450, 56, 10},   // 56; 2.8 W
		{5000, 6.8, 50}, // 25 W at most: 6.35
	} {
		r := resistorOf(t, x.mah*by)
		rows = append(rows, num("r2", fmt.Sprintf("%g mAh: ohms", x.mah), x.ohms, r.ResistanceOhm, exactly(), e24),
			num("r2", fmt.Sprintf("%g mAh: W", x.mah), x.watts, r.RatingW, exactly(), trade("a resistor in free air is run at half its rating")))
	}
	return rows
}

func TestResistors(t *testing.T) {
	checkTable(t, "resistors", resistorRows(t, 1))
	mustFail(t, "a capacity a third too high", 6, resistorRows(t, 4.0/3))
}

// storedRows are what everybody in the trade knows of storage charge.
func storedRows(t *testing.T, by float64) []row {
	t.Helper()
	charger := fmt.Sprintf(`{"chemistries": ["lipo"], "cells_series_min": 1, "cells_series_max": 6, "max_charge_current_a": 6, "balance": "with_main_lead",
		"storage_program": true, "max_discharge_current_a": 1, "max_discharge_power_w": %g}`, 5*by)
	ask := func(volt, days float64) *storage.Plan {
		return stored(t, fmt.Sprintf(`{"pack": {"chemistry": "lipo", "cells_series": 3, "capacity_mah": 5000, "max_discharge_c_rate": 30, "cell_voltages_v": [%g, %g, %g]}, "charger": %s, "idle_days": %g}`, volt, volt, volt, charger, days))
	}
	p := ask(4.2, 60)
	curve := chemistry(t, spec.LiPo).Curve
	z := curve.Charge(3.8)
	mean := 3.974 // of the table from 52 to 100 %, by eye and by the trapezoid rule
	hours := (1 - z) * 5 * 3 * mean / 5
	week := trade("a pack that is used within a week is left as it is")
	rows := []row{
		num("6h", "storage charge of 3 cells, V", 11.4, p.Settings.EndVoltageV, exactly(), trade("3.8 V a cell")),
		within("6h", "storage charge, %", 40, 60, p.TargetChargePercent, "about half", source{"public advice: about a 50 % charge", read}),
		word("6h", "a charged pack for two months", "discharge", string(p.Action), trade("more than a week idle: storage charge")),
		word("6h", "a charged pack for a week", "leave", string(ask(4.2, 7).Action), week),
		word("6h", "a charged pack for eight days", "discharge", string(ask(4.2, 8).Action), week),
		word("6h", "an empty pack for two months", "charge", string(ask(3.6, 60).Action), trade("more than a week idle: storage charge")),
		word("6h", "a pack at 3.82 V for two months", "leave", string(ask(3.82, 60).Action), trade("3.75 to 3.85 V is near enough")),
		num("6h", "half of 5000 mAh through 5 W: hours", hours, p.Duration.ExpectedMin/60, tol{rel: 0.01, why: "energy over power, without the 0.2 % lost inside, by a mean voltage read off"}, trade("most small chargers discharge at a few watts: hours")),
		num("6h", "and the charge, mAh", (1-z)*5000, *p.ChargeMAh, exactly(), trade("what is above storage charge has to go")),
	}
	t.Logf("hours: %.2f", p.Duration.ExpectedMin/60)
	return rows
}

func TestStorageOfTheTrade(t *testing.T) {
	checkTable(t, "storage charge", storedRows(t, 1))
	mustFail(t, "a charger a fiftieth stronger", 1, storedRows(t, 1.02))
}
