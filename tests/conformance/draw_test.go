package conformance

import (
	"maps"
	"math"
	"slices"
	"strings"

	"pgregory.net/rapid"
)

func number(s node, name string, otherwise float64) float64 {
	if x, is := s[name].(float64); is {
		return x
	}
	return otherwise
}

// drawNumber draws from the least to the most, each decade alike, and often an
// end.
func drawNumber(t *rapid.T, s node, label string) float64 {
	lo, hi := number(s, "minimum", -1e9), number(s, "maximum", 1e9)
	if x, is := s["exclusiveMinimum"].(float64); is {
		lo = math.Nextafter(x, math.Inf(1))
	}
	switch rapid.IntRange(0, 5).Draw(t, label+" where") {
	case 0:
		return lo
	case 1:
		return hi
	}
	if s["type"] == "integer" {
		return float64(rapid.IntRange(int(lo), int(hi)).Draw(t, label))
	}
	if lo <= 0 {
		return rapid.Float64Range(lo, hi).Draw(t, label)
	}
	return min(max(math.Exp(rapid.Float64Range(math.Log(lo), math.Log(hi)).Draw(t, label)), lo), hi)
}

// drawValue draws a value from all that a schema lets through.
func drawValue(t *rapid.T, s node, label string) any {
	s = follow(s)
	if words := s["enum"]; words != nil {
		return rapid.SampledFrom(words.([]any)).Draw(t, label)
	}
	switch s["type"] {
	case "boolean":
		return rapid.Bool().Draw(t, label)
	case "integer", "number":
		return drawNumber(t, s, label)
	case "string":
		if s["format"] == "date" {
			return rapid.SampledFrom([]string{"0001-01-01", "2020-02-29", "2025-03-01", "9999-12-31"}).Draw(t, label)
		}
		most := int(number(s, "maxLength", 8))
		return rapid.SampledFrom([]string{"tq-1", strings.Repeat("é", most), strings.Repeat("😀", most), "\u0000\"<&\u2028", " "}).Draw(t, label)
	case "array":
		list := []any{}
		for range rapid.IntRange(int(number(s, "minItems", 0)), 2).Draw(t, label+" entries") {
			x := drawValue(t, s["items"].(node), label)
			if s["uniqueItems"] != true || !slices.Contains(list, x) {
				list = append(list, x)
			}
		}
		return list
	}
	object := node{}
	properties := at(s, "properties")
	for _, name := range slices.Sorted(maps.Keys(properties)) {
		if slices.Contains(texts(s["required"]), name) || rapid.IntRange(0, 2).Draw(t, label+"/"+name+" given") == 0 {
			object[name] = drawValue(t, properties[name].(node), name)
		}
	}
	return object
}

// sensible makes of a request one that a careful person would make, so that it
// is answered with settings; members are those that the request may have.
func sensible(t *rapid.T, body, members node) {
	if members["pack"] != nil {
		body["pack"] = node{
			"chemistry": at(body, "pack")["chemistry"], "cells_series": float64(rapid.IntRange(1, 12).Draw(t, "cells")),
			"capacity_mah": rapid.Float64Range(300, 8000).Draw(t, "capacity"), "charge_percent": rapid.Float64Range(0, 95).Draw(t, "start"),
			"max_charge_c_rate": rapid.Float64Range(1, 5).Draw(t, "label"), "temperature_degc": rapid.Float64Range(11, 40).Draw(t, "temperature"),
		}
	}
	if members["charger"] != nil {
		body["charger"] = node{
			"chemistries": []any{"lipo", "lihv", "liion", "lifepo4", "nimh"}, "cells_series_min": 1.0, "cells_series_max": 12.0,
			"min_charge_current_a": 0.05, "max_charge_current_a": rapid.Float64Range(2, 20).Draw(t, "most"), "balance": "with_main_lead", "safety_timer": true,
		}
	}
	delete(body, "surroundings")
	delete(body, "target_cell_voltage_v")
}

// settle takes the contradictions between fields out of a request, so that it
// is answered.
func settle(body node) {
	pack, _ := body["pack"].(node)
	packs := []node{pack}
	if pack == nil {
		packs = nil
	}
	for _, p := range list(body["packs"]) {
		packs = append(packs, p.(node))
	}
	for _, p := range list(at(body, "surroundings")["parallel_board"]) {
		packs = append(packs, p.(node))
	}
	for _, p := range packs {
		if p["cell_voltages_v"] != nil || p["charge_percent"] != nil {
			delete(p, "pack_voltage_v")
		}
		if p["cell_voltages_v"] != nil {
			delete(p, "charge_percent")
		}
		cells := int(number(p, "cells_series", 1))
		if v, is := p["pack_voltage_v"].(float64); is {
			p["pack_voltage_v"] = min(v, 6*float64(cells))
		}
		for _, name := range []string{"cell_voltages_v", "cell_resistances_mohm"} {
			if values := list(p[name]); len(values) > 0 {
				p[name] = slices.Repeat(values[:1], cells)
			} else {
				delete(p, name)
			}
		}
	}
	if body["installed"] == true {
		delete(body, "packed_with_equipment")
	}
	for _, d := range list(body["drains"]) {
		cells := list(d.(node)["cells"])
		for i := range cells {
			cells[i] = float64(i%int(number(pack, "cells_series", 1)) + 1)
		}
		if len(cells) > 1 {
			d.(node)["cells"] = cells[:1]
		}
	}
	if l := at(body, "load"); l != nil {
		body["load"] = settledLoad(l)
	}
	if goal := at(body, "goal"); len(goal) > 1 {
		name := slices.Sorted(maps.Keys(goal))[0]
		body["goal"] = node{name: goal[name]}
	}
	if c := at(body, "charger"); c != nil {
		c["cells_series_max"] = max(number(c, "cells_series_max", 1), number(c, "cells_series_min", 1))
		for _, name := range []string{"min_charge_current_a", "charge_current_step_a"} {
			if v, is := c[name].(float64); is {
				c[name] = min(v, number(c, "max_charge_current_a", 1))
			}
		}
	}
	if pack["chemistry"] == "nimh" {
		delete(body, "target_cell_voltage_v")
		delete(body, "taper_c_rate")
		if s := at(body, "settings"); s != nil {
			delete(s, "end_voltage_per_cell_v")
		}
	}
	delete(body, "as_of")
}

func list(v any) []any {
	l, _ := v.([]any)
	return l
}

// settledLoad is a load with the members of its kind alone. Its cycles are of currents, which
// may be repeated however often.
func settledLoad(l node) node {
	member := map[any]string{"constant_current": "current_a", "constant_power": "power_w", "constant_resistance": "resistance_ohm", "cycle": "segments"}[l["kind"]]
	out := node{"kind": l["kind"], member: l[member]}
	if member != "segments" {
		if l[member] == nil {
			out[member] = 2.0
		}
		return out
	}
	segments := []any{node{"duration_s": 5.0, "current_a": 3.0}}
	for _, s := range list(l[member]) {
		segments = append(segments, node{"duration_s": s.(node)["duration_s"], "current_a": number(s.(node), "current_a", 0)})
	}
	out[member] = segments
	return out
}
