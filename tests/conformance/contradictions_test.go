package conformance

import (
	"encoding/json"
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/openapi/conform"
)

func mergePatch(target, patch any) any {
	changes, is := patch.(node)
	if !is {
		return patch
	}
	old, _ := target.(node)
	out := node{}
	for name, v := range old {
		out[name] = v
	}
	for name, v := range changes {
		if v == nil {
			delete(out, name)
		} else {
			out[name] = mergePatch(out[name], v)
		}
	}
	return out
}

// Each contradiction that the document cannot state happens, alone: the schema
// lets the body through, and the service refuses it for this and nothing else.
func TestEveryContradictionBetweenFieldsHappens(t *testing.T) {
	happened := map[string]bool{}
	for _, c := range []struct{ rule, path, change string }{
		{"one-start-of-charge", plans, `{"pack":{"charge_percent":50,"pack_voltage_v":11.4}}`},
		{"one-start-of-charge", plans, `{"surroundings":{"parallel_board":[{"chemistry":"lipo","cells_series":3,"capacity_mah":2200,"charge_percent":50,"pack_voltage_v":11.4}]}}`},
		{"one-goal", plans, `{"goal":{"pace":"gentle","current_a":1}}`},
		{"count-matches-cells", plans, `{"pack":{"cell_voltages_v":[3.7,3.7]}}`},
		{"count-matches-cells", checks, `{"pack":{"cell_resistances_mohm":[]}}`},
		{"voltage-per-cell", checks, `{"pack":{"pack_voltage_v":18.1}}`},
		{"made-before-as-of", plans, `{"pack":{"made_on":"2026-01-02"},"as_of":"2026-01-01"}`},
		{"min-not-above-max", plans, `{"charger":{"cells_series_min":7}}`},
		{"min-not-above-max", checks, `{"charger":{"min_charge_current_a":6.1}}`},
		{"step-not-above-max", plans, `{"charger":{"charge_current_step_a":6.1}}`},
		{"load-of-its-kind", runs, `{"load":{"kind":"constant_power","current_a":null}}`},
		{"load-of-its-kind", runs, `{"load":{"power_w":20}}`},
		{"load-of-its-kind", runs, `{"load":{"segments":[{"duration_s":1,"current_a":1}]}}`},
		{"segment-has-one-load", runs, `{"load":{"kind":"cycle","current_a":null,"segments":[{"duration_s":1}]}}`},
		{"segment-has-one-load", runs, `{"load":{"kind":"cycle","current_a":null,"segments":[{"duration_s":60,"current_a":1,"power_w":10}]}}`},
		{"cycle-draws", runs, `{"load":{"kind":"cycle","current_a":null,"segments":[{"duration_s":1,"current_a":0}]}}`},
		{"cycle-draws", runs, `{"load":{"kind":"cycle","current_a":null,"segments":[]}}`},
		{"cycle-repeats-too-often", runs, `{"load":{"kind":"cycle","current_a":null,"segments":[{"duration_s":0.01,"power_w":1}]}}`},
		{"made-before-as-of", runs, `{"pack":{"made_on":"2026-01-02"},"as_of":"2026-01-01"}`},
		{"no-end-voltage", plans, `{"pack":{"chemistry":"nimh"},"target_cell_voltage_v":4}`},
		{"no-end-voltage", checks, `{"pack":{"chemistry":"nimh"},"settings":{"end_voltage_per_cell_v":1.5}}`},
		{"cell-of-the-pack", drains, `{"drains":[{"current_ma":5,"cells":[3,4]}]}`},
		{"load-of-its-kind", stores, `{"load":{"kind":"constant_power","current_a":3,"power_w":30}}`},
		{"load-of-its-kind", stores, `{"load":{"kind":"constant_resistance"}}`},
		{"segment-has-one-load", stores, `{"load":{"kind":"cycle","segments":[{"duration_s":5}]}}`},
		{"cycle-draws", stores, `{"load":{"kind":"cycle","segments":[{"duration_s":5,"current_a":0}]}}`},
		{"stored-one-by-one", stores, `{"surroundings":{"parallel_board":[{"chemistry":"lipo","cells_series":3,"capacity_mah":2200}]}}`},
		{"installed-or-beside", moves, `{"installed":true,"packed_with_equipment":true}`},
		{"made-before-as-of", moves, `{"packs":[{"chemistry":"lipo","cells_series":3,"capacity_mah":2200,"made_on":"2026-01-02"}],"as_of":"2026-01-01"}`},
		{"no-taper", plans, `{"pack":{"chemistry":"nimh"},"taper_c_rate":0.1}`},
	} {
		body := changed(t, c.path, c.change)
		assert.NoError(t, checker().JudgeRequest(http.MethodPost, c.path, body), c.change)
		status, answer := postJSON(t, c.path, body)
		assert.Equal(t, http.StatusUnprocessableEntity, status, c.change)
		var p struct{ Errors []struct{ Rule string } }
		require.NoError(t, json.Unmarshal(answer, &p))
		if assert.Len(t, p.Errors, 1, "%s", answer) {
			assert.Equal(t, c.rule, p.Errors[0].Rule)
			happened[p.Errors[0].Rule] = true
		}
	}
	for _, c := range conform.Contradictions() {
		assert.True(t, happened[c.Rule], "%s is listed and does not happen", c.Rule)
		assert.NotEmpty(t, c.Reason, c.Rule)
		delete(happened, c.Rule)
	}
	assert.Empty(t, happened, "these happen and are not listed")
}
