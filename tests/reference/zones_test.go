package reference_test

import (
	"fmt"
	"testing"

	"github.com/wattkeel/wattkeel/service/spec"
)

func fireAdministration() source {
	return source{"U.S. Fire Administration, Battery Fire Safety: not below 0 °C nor above 40 °C", read}
}

func zoneNote() source {
	return source{"a semiconductor maker's design note on the JEITA zones: half current from 0 to 10 °C", read}
}

func standardRange() source {
	return source{"IEC 62133-2: standard charging range 10 to 45 °C", memory}
}

// atTemperature says what the planner makes of a pack at degC: "stop", or the
// rate it sets for a pack that may take 2 C and is asked to.
func atTemperature(t *testing.T, chem spec.Chemistry, degC float64) string {
	t.Helper()
	p := plan(t, fmt.Sprintf(`"chemistry": "%s", "cells_series": 3, "capacity_mah": 2000, "max_charge_c_rate": 2, "charge_percent": 20, "temperature_degc": %g`, chem, degC),
		bench, `, "goal": {"pace": "quick"}`)
	if p.Verdict == spec.VerdictStop {
		if p.Settings != nil {
			return "stop, with settings"
		}
		return "stop"
	}
	return fmt.Sprintf("%g C", p.Settings.CurrentCRate)
}

// zoneRows are check 3d and the edges, for a pack that is shift degrees off.
func zoneRows(t *testing.T, chem spec.Chemistry, shift float64) []row {
	t.Helper()
	const above40 = "the fire body would not charge above 40 °C at all; the service goes on at 0.5 C with a caution up to 45 °C, the end of the IEC range (from memory)"
	const above45 = "the zone note allows 45 to 50 °C at 4.15 V a cell; the service refuses, as the fire body does"
	var rows []row
	add := func(degC float64, want string, from source, way, why string) {
		r := word("3d", fmt.Sprintf("%s at %g °C", chem, degC), want, atTemperature(t, chem, degC+shift), from)
		if why != "" {
			r = r.report(way, why)
		}
		rows = append(rows, r)
	}
	add(-20, "stop", fireAdministration(), "", "")
	add(-1, "stop", fireAdministration(), "", "")
	add(0, "0.5 C", zoneNote(), "", "")
	add(5, "0.5 C", zoneNote(), "", "")
	add(9.9, "0.5 C", zoneNote(), "", "")
	add(10, "2 C", standardRange(), "", "")
	add(25, "2 C", standardRange(), "", "")
	add(40, "2 C", fireAdministration(), "", "")
	add(41, "stop", fireAdministration(), "looser", above40)
	add(45, "stop", fireAdministration(), "looser", above40)
	add(46, "stop", fireAdministration(), "", "")
	add(46, "at most 4.15 V a cell", zoneNote(), "stricter", above45)
	add(48, "at most 4.15 V a cell", zoneNote(), "stricter", above45)
	add(61, "stop", zoneNote(), "", "")
	return rows
}

func TestTemperatureZones(t *testing.T) {
	var rows []row
	for _, chem := range []spec.Chemistry{spec.LiPo, spec.LiHV, spec.LiIon, spec.LiFePO4} {
		rows = append(rows, zoneRows(t, chem, 0)...)
	}
	checkTable(t, "charge temperatures", rows)
	mustFail(t, "a thermometer that reads 2 °C too little", 3, zoneRows(t, spec.LiPo, 2))
	mustFail(t, "a thermometer that reads 1 °C too much", 3, zoneRows(t, spec.LiPo, -1))
}

// A warm room or a warm pack: the worse of the two counts, as does the colder.
func TestRoomAndPackBothCount(t *testing.T) {
	at := func(pack, room float64) string {
		return string(plan(t, fmt.Sprintf(`"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2000, "charge_percent": 20, "temperature_degc": %g`, pack),
			bench, fmt.Sprintf(`, "surroundings": {"ambient_degc": %g}`, room)).Verdict)
	}
	rows := func(shift float64) []row {
		return []row{
			word("3d'", "a pack at 20 °C in a room at -1 °C", "stop", at(20, -1+shift), fireAdministration()),
			word("3d'", "a pack at -1 °C in a room at 20 °C", "stop", at(-1+shift, 20), fireAdministration()),
			word("3d'", "a pack at 46 °C in a room at 20 °C", "stop", at(46-shift, 20), fireAdministration()),
			word("3d'", "a pack at 20 °C in a room at 20 °C", "clear", at(20, 20), fireAdministration()),
		}
	}
	checkTable(t, "temperature of room and pack", rows(0))
	mustFail(t, "a thermometer 2 °C off", 3, rows(2))
}

// endVoltageRows are check 3e: no cell is charged above its own limit.
func endVoltageRows(t *testing.T, off float64) []row {
	t.Helper()
	limits := source{"Maleki et al., J. Power Sources 263, 223-230 (2014): 4.2 V conventional, 4.35 V high-voltage", read}
	iron := source{"lithium iron phosphate is charged to 3.65 V a cell", practice}
	ask := func(chem spec.Chemistry, v float64) (verdict, rule string) {
		p := plan(t, fmt.Sprintf(`"chemistry": "%s", "cells_series": 3, "capacity_mah": 2000, "charge_percent": 20`, chem),
			bench, fmt.Sprintf(`, "target_cell_voltage_v": %g, "surroundings": {"ambient_degc": 20}`, v+off))
		return string(p.Verdict), found(p.Findings, "end-voltage-over-maximum")
	}
	var rows []row
	for _, x := range []struct {
		chem spec.Chemistry
		v    float64
		want string
		from source
	}{
		{spec.LiPo, 4.30, "stop", limits},
		{spec.LiPo, 4.35, "stop", limits},
		{spec.LiPo, 4.25, "stop", limits}, // 4.25 V is the upper limit in IEC 62133-2 (from memory); the pack's own is lower
		{spec.LiPo, 4.20, "clear", limits},
		{spec.LiPo, 4.10, "clear", limits},
		{spec.LiHV, 4.35, "clear", limits},
		{spec.LiHV, 4.36, "stop", limits},
		{spec.LiIon, 4.20, "clear", limits},
		{spec.LiIon, 4.21, "stop", limits},
		{spec.LiFePO4, 3.65, "clear", iron},
		{spec.LiFePO4, 4.20, "stop", iron},
	} {
		verdict, rule := ask(x.chem, x.v)
		rows = append(rows, word("3e", fmt.Sprintf("%s asked for %g V a cell", x.chem, x.v), x.want, verdict, x.from))
		if x.want == "stop" {
			rows = append(rows, word("3e", fmt.Sprintf("%s asked for %g V a cell: the rule", x.chem, x.v), "stop", rule, x.from))
		}
	}
	return rows
}

func TestEndVoltages(t *testing.T) {
	checkTable(t, "end voltages", endVoltageRows(t, 0))
	mustFail(t, "a hundredth of a volt more", 4, endVoltageRows(t, 0.01))
}
