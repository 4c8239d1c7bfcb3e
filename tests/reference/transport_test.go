package reference_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
	"github.com/wattkeel/wattkeel/service/transport"
)

// travels asks how packs may travel; the request must be valid.
func travels(t testing.TB, q *transport.Request) *transport.Answer {
	t.Helper()
	require.Empty(t, spec.NewValidator().Validate(q))
	return transport.NewChecker(cell.NewTable(), rule.All()).Check(q)
}

// flown is a pack of some cells of a nominal voltage as its label prints it,
// looked at and sound.
func flown(chemistry spec.Chemistry, cells int, cellV, mAh float64) spec.Pack {
	v := spec.Round9(cellV * float64(cells))
	one := 1
	return spec.Pack{Chemistry: chemistry, CellsSeries: cells, CellsParallel: &one, CapacityMAh: mAh, NominalVoltageV: &v, Condition: []spec.Condition{}}
}

// allowed says in the words of section 4 what a passenger may do with one pack.
func allowed(a *transport.Answer) string {
	switch {
	case found(a.Findings, "air-forbidden-passenger") == "stop":
		return "forbidden"
	case found(a.Findings, "air-approval-needed") == "note":
		return "airline approval"
	case a.Verdict == spec.VerdictClear:
		return "allowed"
	}
	return string(a.Verdict)
}

func regulation(what string) source { return source{what, read} }

// passengerRows are checks 4a to 4l of section 4. In a table that must fail, the
// capacity is larger.
func passengerRows(t *testing.T, more float64) []row {
	t.Helper()
	wattHour := regulation("49 CFR 171.8: rated ampere-hours times nominal voltage")
	limit := regulation("TSA: 100 Wh; the aviation regulator's passenger page: 101-160 Wh with airline approval")
	spare := false
	var rows []row
	for _, x := range []struct {
		id        string
		chemistry spec.Chemistry
		cells     int
		cellV     float64
		mAh, wh   float64
		result    string
	}{
		{"4a", spec.LiPo, 2, 3.7, 2200, 16.28, "allowed"},
		{"4b", spec.LiPo, 3, 3.7, 2200, 24.42, "allowed"},
		{"4c", spec.LiPo, 4, 3.7, 5000, 74, "allowed"},
		{"4d", spec.LiPo, 6, 3.7, 4500, 99.9, "allowed"},
		{"4e", spec.LiPo, 6, 3.7, 5000, 111, "airline approval"},
		{"4f", spec.LiPo, 6, 3.7, 7200, 159.84, "airline approval"},
		{"4g", spec.LiPo, 6, 3.7, 7300, 162.06, "forbidden"},
		{"4h", spec.LiHV, 6, 3.85, 5000, 115.5, "airline approval"},
		{"4i", spec.LiFePO4, 4, 3.2, 4200, 53.76, "allowed"},
		{"4j", spec.LiPo, 1, 3.7, 5400, 19.98, "allowed"},
		{"4k", spec.LiPo, 12, 3.7, 6700, 297.48, "forbidden"},
	} {
		a := travels(t, &transport.Request{Packs: []spec.Pack{flown(x.chemistry, x.cells, x.cellV, x.mAh*more)}, Mode: spec.AirCarryOn, Installed: &spare})
		what := fmt.Sprintf("%dS %g V %g mAh", x.cells, x.cellV, x.mAh)
		rows = append(rows, num(x.id, what+": watt hours", x.wh, a.Packs[0].EnergyWh, exactly(), wattHour), word(x.id, what, x.result, allowed(a), limit))
	}
	// 4l: cells side by side give p times the capacity and the energy.
	for p := 1.0; p <= 4; p++ {
		a := travels(t, &transport.Request{Packs: []spec.Pack{flown(spec.LiPo, 3, 3.7, 2200*p*more)}, Mode: spec.AirCarryOn, Installed: &spare})
		rows = append(rows, num("4l", fmt.Sprintf("3S%gP of 2200 mAh cells", p), 24.42*p, a.Packs[0].EnergyWh, exactly(), wattHour))
	}
	return rows
}

func TestPassengersByWattHours(t *testing.T) {
	checkTable(t, "what a passenger may carry", passengerRows(t, 1))
	mustFail(t, "a capacity 7 % larger", 15, passengerRows(t, 1.07))
}

// boundaryRows are the limits, which hold for what does not exceed them.
func boundaryRows(t *testing.T, add float64) []row {
	t.Helper()
	spare := false
	by := func(wh float64, mode spec.TransportMode, installed bool) *transport.Answer {
		wh += add
		p := flown(spec.LiPo, 6, 3.7, wh/22.2*1000)
		p.EnergyWh = &wh
		return travels(t, &transport.Request{Packs: []spec.Pack{p}, Mode: mode, Installed: &installed, AsOf: "2026-11-25"})
	}
	passenger := regulation("section 4: 100 and 160 Wh are on the permitted side; TSA, the aviation regulator's passenger page")
	small := regulation("49 CFR 173.185(c)(1)(i): may not exceed 20 Wh for a lithium ion cell or 100 Wh for a lithium ion battery")
	road := regulation("49 CFR 173.185(c)(1)(iv): by highway or rail only, 60 Wh for a cell or 300 Wh for a battery")
	rows := []row{
		word("4", "100.00 Wh", "allowed", allowed(by(100, spec.AirCarryOn, spare)), passenger),
		word("4", "100.01 Wh", "airline approval", allowed(by(100.01, spec.AirCarryOn, spare)), passenger),
		word("4", "160.00 Wh", "airline approval", allowed(by(160, spec.AirCarryOn, spare)), passenger),
		word("4", "160.01 Wh", "forbidden", allowed(by(160.01, spec.AirCarryOn, spare)), passenger),
		word("4", "100.00 Wh by road", "small_battery", string(by(100, spec.Road, spare).Category), small),
		word("4", "100.01 Wh by road", "small_battery_by_road", string(by(100.01, spec.Road, spare).Category), road),
		word("4", "300.00 Wh by road", "small_battery_by_road", string(by(300, spec.Road, spare).Category), road),
		word("4", "300.01 Wh by road", "fully_regulated", string(by(300.01, spec.Road, spare).Category), road),
	}
	cells := func(mAh float64, cells int) string {
		return string(travels(t, &transport.Request{Packs: []spec.Pack{flown(spec.LiPo, cells, 3.7, mAh+add*1000/3.7)}, Mode: spec.Road}).Category)
	}
	return append(rows,
		word("4j", "cells of 5400 mAh, 19.98 Wh", "small_battery", cells(5400, 1), small),
		word("4j", "cells of 5405.4 mAh, 20.00 Wh", "small_battery", cells(20/3.7*1000, 1), small),
		word("4j", "cells of 5408 mAh, 20.01 Wh", "small_battery_by_road", cells(5408, 1), small),
		word("4j", "cells of 16,216 mAh, 60.00 Wh", "small_battery_by_road", cells(60/3.7*1000, 1), road),
		word("4j", "cells of 16,219 mAh, 60.01 Wh", "fully_regulated", cells(16219, 1), road),
		word("4k", "12S 6700 mAh by road", "small_battery_by_road", cells(6700, 12), road),
	)
}

func TestTransportBoundaries(t *testing.T) {
	checkTable(t, "limits of energy", boundaryRows(t, 0))
	mustFail(t, "a hundredth of a watt hour more", 6, boundaryRows(t, 0.01))
}

// otherRows are what section 4 says beside the watt hours.
func otherRows(t *testing.T, chemistry spec.Chemistry) []row {
	t.Helper()
	ask := func(mode spec.TransportMode, installed, beside bool, day spec.Date, percent float64, packs int) *transport.Answer {
		p := flown(chemistry, 6, 3.7, 5000)
		p.ChargePercent = &percent
		q := &transport.Request{Mode: mode, Installed: &installed, PackedWithEquipment: beside, AsOf: day}
		for range packs {
			q.Packs = append(q.Packs, p)
		}
		return travels(t, q)
	}
	now := spec.Date("2026-11-25")
	tsa := regulation("TSA: spare batteries in carry-on baggage only")
	two := regulation("the aviation regulator's passenger page: up to 2 spare larger lithium ion batteries")
	alone := regulation("87 FR 77995: not more than a 30 percent state of charge aboard cargo-only aircraft when not packed with or contained in equipment")
	beside := regulation("IATA DGR 67th edition, from 1 January 2026, as a trainer's page states it: packed with equipment, over 2.7 Wh, at most 30 %")
	return []row{
		word("4", "a spare in checked baggage", "stop", found(ask(spec.AirChecked, false, false, now, 20, 1).Findings, "spare-in-checked-baggage"), tsa),
		word("4", "two large spares", "none", found(ask(spec.AirCarryOn, false, false, now, 20, 2).Findings, "large-spares-too-many"), two),
		word("4", "three large spares", "stop", found(ask(spec.AirCarryOn, false, false, now, 20, 3).Findings, "large-spares-too-many"), two),
		word("4", "alone as cargo at 30 %", "none", found(ask(spec.AirCargo, false, false, now, 30, 1).Findings, "cargo-charge-over-30"), alone),
		word("4", "alone as cargo at 30.01 %", "stop", found(ask(spec.AirCargo, false, false, now, 30.01, 1).Findings, "cargo-charge-over-30"), alone),
		word("4", "a passenger's own spare at 100 %", "none", found(ask(spec.AirCarryOn, false, false, now, 100, 1).Findings, "cargo-charge-over-30"), regulation("section 4: the 30 % rule does not apply to a passenger's own spare packs")),
		word("4", "in equipment as cargo at 100 %: a recommendation", "note", found(ask(spec.AirCargo, true, false, now, 100, 1).Findings, "cargo-charge-over-30"), beside),
		word("4", "beside equipment at 100 % in 2025", "none", found(ask(spec.AirCargo, false, true, "2025-12-31", 100, 1).Findings, "cargo-charge-packed-with"), beside),
		word("4", "beside equipment at 100 % in 2026", "stop", found(ask(spec.AirCargo, false, true, "2026-01-01", 100, 1).Findings, "cargo-charge-packed-with"), beside),
		word("4", "alone as cargo: cargo aircraft only", "note", found(ask(spec.AirCargo, false, false, now, 20, 1).Findings, "cargo-aircraft-only"), alone),
	}
}

func TestTransportRules(t *testing.T) {
	checkTable(t, "spares, checked baggage and charge", otherRows(t, spec.LiPo))
	mustFail(t, "a nimh pack, which is not lithium", 6, otherRows(t, spec.NiMH))
}
