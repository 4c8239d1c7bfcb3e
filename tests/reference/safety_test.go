package reference_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/spec"
)

// refused says how a plan refuses: "stop, bare" with nothing in it that could
// be set on a charger.
func refused(p *charge.Plan) string {
	if p.Verdict != spec.VerdictStop {
		return string(p.Verdict)
	}
	bare := p.Settings == nil && p.Limits == nil && p.Phases == nil && p.Duration == nil && p.ChargeMAh == nil &&
		p.EnergyWh == nil && p.Balancing == nil && p.Temperature == nil && p.Curve == nil && p.Steps == nil
	if !bare {
		return "stop, with settings"
	}
	return "stop, bare"
}

// refusalRows are section 10: what fire services and safety bodies would not
// charge. Damage is left out of the request in a table that must fail.
func refusalRows(t *testing.T, damaged bool) []row {
	t.Helper()
	yorkshire := source{"West Yorkshire Fire: no swollen, dented, punctured, wet batteries", read}
	wales := source{"South Wales Fire: never charge if dropped in water", read}
	heat := source{"U.S. Fire Administration: stop using on too much heat, change in shape, leaking", read}
	present := source{"U.S. CPSC, Micromobility Battery Charging Safety: always be present, never while sleeping", read}
	judged := func(condition, more string) *charge.Plan {
		pack := `"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2200`
		if damaged {
			pack += condition
		} else {
			more = ""
		}
		return plan(t, pack, bench, more)
	}
	with := func(condition string) string {
		return refused(judged(fmt.Sprintf(`, "condition": ["%s"]`, condition), ""))
	}
	volts := func(v float64) *charge.Plan { return judged(fmt.Sprintf(`, "cell_voltages_v": [%g, 3.7, 3.7]`, v), "") }
	return []row{
		word("10", "swollen", "stop, bare", with("swollen"), yorkshire),
		word("10", "dented", "stop, bare", with("dented"), yorkshire),
		word("10", "punctured", "stop, bare", with("punctured"), yorkshire),
		word("10", "wet", "stop, bare", with("water_exposed"), wales),
		word("10", "overheated", "stop, bare", with("overheated"), heat),
		word("10", "dropped or crashed", "stop, bare", with("crashed"), trade("a crashed pack is not charged before it is inspected")),
		word("10", "lead damaged", "stop, bare", with("lead_damaged"), trade("a pack with a damaged lead is not connected")),
		word("10", "below 0 °C", "stop, bare", refused(judged(`, "temperature_degc": -1`, "")), fireAdministration()),
		word("10", "unattended", "stop, bare", refused(judged("", `, "surroundings": {"attended": false}`)), present),
		word("10", "a cell resting at 2.4 V", "stop, bare", refused(volts(2.4)), trade("a lithium cell resting below 2.5 V is not charged again")),
	}
}

// deepRows: a cell that was run down is raised gently first, at a tenth of 1 C.
func deepRows(t *testing.T, above float64) []row {
	t.Helper()
	gently := source{"a deeply discharged cell is raised at a tenth of 1 C first; Lancashire Fire and Rescue: care after deep discharge", practice}
	var rows []row
	for _, x := range []struct {
		chem  spec.Chemistry
		volts float64
	}{{spec.LiPo, 2.8}, {spec.LiHV, 2.8}, {spec.LiIon, 2.8}, {spec.LiFePO4, 2.4}} {
		v := x.volts + above
		p := plan(t, fmt.Sprintf(`"chemistry": "%s", "cells_series": 3, "capacity_mah": 2200, "max_charge_c_rate": 1, "cell_voltages_v": [%g, %g, %g]`, x.chem, v, v, v), bench, "")
		got := found(p.Findings, "cell-deeply-discharged")
		if p.Settings != nil {
			first := p.Settings.CurrentA
			if p.Settings.RecoveryCurrentA != nil {
				first = *p.Settings.RecoveryCurrentA
			}
			got += fmt.Sprintf(", %g A first", first)
		}
		rows = append(rows, word("10d", fmt.Sprintf("%s resting at %g V", x.chem, x.volts), "caution, 0.22 A first", got, gently))
	}
	return rows
}

func TestDeepDischarge(t *testing.T) {
	checkTable(t, "deeply discharged cells", deepRows(t, 0))
	mustFail(t, "a volt more", 4, deepRows(t, 1))
}

// TestRefusals: hot packs are in the table of temperature zones.
func TestRefusals(t *testing.T) {
	checkTable(t, "what is refused", refusalRows(t, true))
	mustFail(t, "damage not told", 10, refusalRows(t, false))
}

// placeRows: where fire services would not charge. They call it a violation;
// the service answers with a caution, which a person may read as leave to go
// on.
func placeRows(t *testing.T, surface, attended string) []row {
	t.Helper()
	p := plan(t, `"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2200, "temperature_degc": 20`, bench,
		fmt.Sprintf(`, "surroundings": {"surface": "%s", "attended": %s, "enclosure": "metal_box"}`, surface, attended))
	nsw := source{"Fire and Rescue NSW: hard, non-flammable surface; not beds, sofas, carpet", read}
	return []row{
		word("10", "on something that burns: the rule", "caution", found(p.Findings, "combustible-surface"), nsw),
		word("10", "on something that burns: the verdict", "caution", string(p.Verdict), nsw),
		word("10", "attended", "none", found(p.Findings, "unattended"), source{"U.S. CPSC: always be present", read}),
	}
}

// noteRows: every plan says the same things, whatever was asked.
func noteRows(t *testing.T, cut bool) []row {
	t.Helper()
	var rows []row
	for _, x := range []struct{ name, pack, more string }{
		{"a plain plan", `"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2200`, ""},
		{"a refused plan", `"chemistry": "lipo", "cells_series": 3, "capacity_mah": 2200, "condition": ["swollen"]`, ""},
		{"a nimh plan", `"chemistry": "nimh", "cells_series": 6, "capacity_mah": 3000`, ""},
	} {
		text := strings.ToLower(strings.Join(plan(t, x.pack, bench, x.more).Cautions, "\n"))
		if cut {
			text = ""
		}
		says := func(words ...string) string {
			for _, w := range words {
				if !strings.Contains(text, w) {
					return "no " + w
				}
			}
			return "says so"
		}
		rows = append(rows,
			word("10n", x.name+": stay, awake", "says so", says("present", "awake", "sleeping"), source{"U.S. CPSC", read}),
			word("10n", x.name+": a hard surface that does not burn", "says so", says("hard surface", "does not burn"), source{"Fire and Rescue NSW; Fire and Emergency NZ", read}),
			word("10n", x.name+": off the way out", "says so", says("off the way out"), source{"West Yorkshire Fire: not on escape routes or in hallways", read}),
			word("10n", x.name+": a smoke alarm", "says so", says("smoke alarm"), source{"South Wales Fire and Rescue", read}),
			word("10n", x.name+": stop on swelling, smell, noise, heat", "says so", says("swelling", "smell", "hissing", "too hot"), source{"U.S. Fire Administration", read}),
			word("10n", x.name+": nothing damaged or wet", "says so", says("damaged", "swollen", "wet"), source{"West Yorkshire Fire; South Wales Fire", read}),
			word("10n", x.name+": unplug when full", "says so", says("disconnect the pack when it is full"), source{"all the fire services read", read}),
		)
	}
	return rows
}

func TestPlaceAndNotes(t *testing.T) {
	checkTable(t, "where to charge", placeRows(t, "combustible", "true"))
	mustFail(t, "a stone floor, unattended", 3, placeRows(t, "non_combustible", "false"))
	checkTable(t, "what every plan says", noteRows(t, false))
	mustFail(t, "the notes cut away", 21, noteRows(t, true))
}
