package contract

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/stretchr/testify/require"
	"github.com/wattkeel/wattkeel/api"
	"github.com/wattkeel/wattkeel/openapi"
	"pgregory.net/rapid"
)

// drawLog draws from lo to hi, each decade alike, and often an end.
func drawLog(t *rapid.T, lo, hi float64, label string) float64 {
	switch rapid.IntRange(0, 4).Draw(t, label+" where") {
	case 0:
		return lo
	case 1:
		return hi
	}
	if lo <= 0 {
		return lo + (hi-lo)*rapid.Float64Range(0, 1).Draw(t, label)
	}
	x := math.Exp(rapid.Float64Range(math.Log(lo), math.Log(hi)).Draw(t, label))
	return min(max(x, lo), hi)
}

// drawMember draws a value of a schema from all that it lets through.
func drawMember(t *rapid.T, s *openapi3.Schema, label string) any {
	for len(s.AllOf) == 1 {
		s = s.AllOf[0].Value
	}
	switch {
	case len(s.Enum) > 0:
		return rapid.SampledFrom(s.Enum).Draw(t, label)
	case s.Format == "date":
		return rapid.SampledFrom([]string{"0001-01-01", "2020-02-29", "2025-03-01", "9999-12-31"}).Draw(t, label)
	case s.Type.Is("boolean"):
		return rapid.Bool().Draw(t, label)
	case s.Type.Is("string"):
		return rapid.SampledFrom([]string{"tq-1", strings.Repeat("é", int(*s.MaxLength)), "\u0000\"<&\u2028"}).Draw(t, label)
	case s.Type.Is("integer"):
		return rapid.IntRange(int(*s.Min), int(*s.Max)).Draw(t, label)
	case s.Type.Is("number"):
		return drawLog(t, *s.Min, *s.Max, label)
	case s.Type.Is("array"):
		list := []any{}
		for range rapid.IntRange(0, 2).Draw(t, label+" entries") {
			list = append(list, drawMember(t, s.Items.Value, label))
		}
		return list
	}
	object := map[string]any{}
	for _, name := range slices.Sorted(maps.Keys(s.Properties)) {
		p := s.Properties[name]
		if slices.Contains(s.Required, name) || rapid.IntRange(0, 2).Draw(t, name+" given") == 0 {
			object[name] = drawMember(t, p.Value, name)
		}
	}
	return object
}

// drawWide draws a question that makes sense, but with numbers from end to end
// of what is let through: it is these that are answered with a plan.
func drawWide(t *rapid.T) map[string]any {
	cells := rapid.IntRange(1, 32).Draw(t, "cells")
	most := drawLog(t, 0.01, 1000, "most current")
	pack := map[string]any{
		"chemistry": rapid.SampledFrom([]string{"lipo", "lihv", "liion", "lifepo4", "nimh"}).Draw(t, "chemistry"), "cells_series": cells,
		"capacity_mah": drawLog(t, 10, 1e6, "capacity"), "charge_percent": rapid.Float64Range(0, 100).Draw(t, "start"), "condition": []any{},
		"max_charge_c_rate": drawLog(t, 0.01, 100, "label"),
	}
	if rapid.Bool().Draw(t, "cell by cell") && pack["chemistry"] != "nimh" {
		delete(pack, "charge_percent")
		volts := make([]float64, cells)
		for i := range volts {
			volts[i] = rapid.Float64Range(3.2, 3.25).Draw(t, "volts")
		}
		pack["cell_voltages_v"] = volts
	}
	charger := map[string]any{
		"chemistries": []string{"lipo", "lihv", "liion", "lifepo4", "nimh"}, "cells_series_min": 1, "cells_series_max": 32,
		"max_charge_current_a": most, "min_charge_current_a": 0, "charge_current_step_a": drawLog(t, 0.001, min(most, 100), "step"),
		"balance": "with_main_lead", "balance_current_a": drawLog(t, 0.001, 100, "bleed"), "safety_timer": true,
	}
	if rapid.Bool().Draw(t, "power") {
		charger["max_charge_power_w"] = drawLog(t, 0.1, 1e5, "watts")
		charger["supply"] = map[string]any{"power_w": drawLog(t, 0.1, 1e5, "supply"), "efficiency_percent": drawLog(t, 1, 100, "efficiency")}
	}
	around := map[string]any{"attended": true, "enclosure": "metal_box", "surface": "non_combustible", "ambient_degc": 20}
	if rapid.IntRange(0, 3).Draw(t, "board") == 0 {
		board := []any{}
		for range rapid.IntRange(1, 15).Draw(t, "others") {
			board = append(board, pack)
		}
		around["parallel_board"] = board
	}
	q := map[string]any{"pack": pack, "charger": charger, "surroundings": around, "curve_points": rapid.IntRange(0, 5).Draw(t, "points"), "energy_price_per_kwh": drawLog(t, 0, 1e6, "price")}
	switch rapid.IntRange(0, 2).Draw(t, "goal") {
	case 0:
		q["goal"] = map[string]any{"current_a": drawLog(t, 0.001, most, "current")}
	case 1:
		q["goal"] = map[string]any{"pace": rapid.SampledFrom([]string{"gentle", "everyday", "quick"}).Draw(t, "pace")}
	}
	return q
}

// spoil gives a member or two any value.
func spoil(t *rapid.T, question map[string]any, s *openapi3.Schema) {
	for _, part := range []string{"pack", "charger", "surroundings"} {
		object, is := question[part].(map[string]any)
		if !is || !rapid.Bool().Draw(t, "spoil "+part) {
			continue
		}
		p := s.Properties[part].Value
		for len(p.AllOf) == 1 {
			p = p.AllOf[0].Value
		}
		name := rapid.SampledFrom(slices.Sorted(maps.Keys(p.Properties))).Draw(t, "spoiled")
		object[name] = drawMember(t, p.Properties[name].Value, name)
	}
}

// The bounds, lengths and lists of the document hold for every answer: plans,
// checks and problems, for questions from end to end of what is let through.
func TestEveryAnswerIsAsTheDocumentSays(t *testing.T) {
	doc, err := openapi3.NewLoader().LoadFromData(openapi.JSON())
	require.NoError(t, err)
	s := api.New(api.Config{})
	seen := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		path := rapid.SampledFrom([]string{"/v1/charge-plans", "/v1/charge-plans", "/v1/pack-checks", "/v1/storage-plans"}).Draw(t, "path")
		o := doc.Paths.Value(path).Post
		asked := o.RequestBody.Value.Content["application/json"].Schema.Value
		var question map[string]any
		switch rapid.IntRange(0, 5).Draw(t, "kind") {
		case 0:
			question, _ = drawMember(t, asked, "question").(map[string]any)
		case 1, 2:
			question = drawWide(t)
			spoil(t, question, asked)
		default:
			question = drawWide(t)
		}
		if path == "/v1/pack-checks" {
			for _, name := range []string{"goal", "curve_points", "energy_price_per_kwh"} {
				delete(question, name)
			}
		}
		if path == "/v1/storage-plans" {
			for _, name := range []string{"goal", "energy_price_per_kwh", "target_cell_voltage_v", "taper_c_rate"} {
				delete(question, name)
			}
			if place, is := question["surroundings"].(map[string]any); is {
				delete(place, "parallel_board")
			}
			if c, is := question["charger"].(map[string]any); is && rapid.Bool().Draw(t, "discharges") {
				c["max_discharge_current_a"] = rapid.Float64Range(0, 1000).Draw(t, "discharge current")
			}
		}
		body, err := json.Marshal(question)
		require.NoError(t, err)
		r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(string(body)))
		r.Header.Set("Content-Type", "application/json")
		w := httptest.NewRecorder()
		checker().Watch(t, s.Handler()).ServeHTTP(w, r)
		response := o.Responses.Status(w.Code)
		require.NotNil(t, response, "%d %s", w.Code, w.Body)
		var answer map[string]any
		require.NoError(t, json.Unmarshal(w.Body.Bytes(), &answer))
		schema := response.Value.Content[w.Header().Get("Content-Type")].Schema.Value
		require.NoError(t, doc.ValidateSchemaJSON(schema, answer, openapi3.MultiErrors()), "%s\n%s", body, w.Body)
		_, settings := answer["settings"]
		seen[fmt.Sprintf("%s %d %v settings %t", path, w.Code, answer["verdict"], settings)]++
		seen[fmt.Sprintf("%s %d settings %t", path, w.Code, settings)]++
	})
	t.Log(seen)
	for _, kind := range []string{"/v1/charge-plans 200 settings true", "/v1/charge-plans 200 settings false", "/v1/charge-plans 422 settings false", "/v1/pack-checks 200 settings false", "/v1/storage-plans 200 settings true", "/v1/storage-plans 200 settings false"} {
		require.Positive(t, seen[kind], kind)
	}
}

// The check can fail.
func TestAnAnswerOutOfBoundsIsNoticed(t *testing.T) {
	doc, err := openapi3.NewLoader().LoadFromData(openapi.JSON())
	require.NoError(t, err)
	start := func(percent float64) map[string]any {
		return map[string]any{"from": "charge_percent", "charge_percent": percent, "cell_charges_percent": []any{percent}}
	}
	schema := doc.Components.Schemas["ChargeStart"].Value
	require.NoError(t, doc.ValidateSchemaJSON(schema, start(100)))
	require.Error(t, doc.ValidateSchemaJSON(schema, start(100.1)))
}
