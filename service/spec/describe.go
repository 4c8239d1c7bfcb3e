package spec

import (
	"fmt"
	"reflect"
	"strings"

	"github.com/go-playground/validator/v10"
)

// describe says in words what is wrong with a field and what to write instead.
func describe(e validator.FieldError) string {
	name := fieldName(e.Namespace())
	switch e.Tag() {
	case "required":
		return required(name, e)
	case "enum":
		values := reflect.Zero(e.Type()).Interface().(Enum).Enum()
		return NotOneOf(name, fmt.Sprint(e.Value()), values)
	case "gte", "lte", "gt", "lt":
		return outOfRange(name, e)
	case "min":
		return fmt.Sprintf("%s is empty; give at least %s", name, e.Param())
	case "max":
		if e.Kind() == reflect.String {
			return fmt.Sprintf("%s is too long; give at most %s characters", name, e.Param())
		}
		return fmt.Sprintf("%s is too long; give at most %s entries", name, e.Param())
	case "unique":
		return fmt.Sprintf("%s repeats a value; list each once", name)
	case "datetime":
		return fmt.Sprintf("%s is %q; write a date as YYYY-MM-DD, for example 2025-03-01", name, e.Value())
	}
	return fmt.Sprintf("%s does not meet %q", name, e.Tag())
}

func required(name string, e validator.FieldError) string {
	if enum, ok := reflect.Zero(e.Type()).Interface().(Enum); ok {
		return fmt.Sprintf("%s is missing; write one of %s", name, strings.Join(enum.Enum(), ", "))
	}
	switch e.Kind() {
	case reflect.Int, reflect.Float64:
		return fmt.Sprintf("%s is missing or 0; write a number%s", name, inUnit(name))
	case reflect.Slice:
		return fmt.Sprintf("%s is missing; give a list", name)
	}
	if e.Kind() == reflect.Struct {
		return fmt.Sprintf("%s is missing or empty; give at least %s", name, strings.Join(requiredFields(e.Type()), ", "))
	}
	return fmt.Sprintf("%s is missing", name)
}

// requiredFields lists the fields without which a struct is not valid.
func requiredFields(t reflect.Type) []string {
	var names []string
	for i := range t.NumField() {
		if f := t.Field(i); strings.HasPrefix(f.Tag.Get("validate"), "required") {
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			names = append(names, name)
		}
	}
	return names
}

func outOfRange(name string, e validator.FieldError) string {
	value, ok := number(e.Value())
	if !ok {
		return fmt.Sprintf("%s is out of range", name)
	}
	if h := unitHint(name, value); h != "" {
		return fmt.Sprintf("%s is %s: %s", name, Plain(value), h)
	}
	bound := map[string]string{"gte": "or more", "lte": "or less", "gt": "is the limit; write more", "lt": "is the limit; write less"}[e.Tag()]
	if e.Tag() == "gt" || e.Tag() == "lt" {
		return fmt.Sprintf("%s is %s, but %s %s%s", name, Plain(value), e.Param(), bound, inUnit(name))
	}
	return fmt.Sprintf("%s is %s; write %s %s%s", name, Plain(value), e.Param(), bound, inUnit(name))
}

// unitHint recognizes the slips people make with units.
func unitHint(name string, x float64) string {
	name, _, _ = strings.Cut(name, "[")
	switch {
	case strings.HasSuffix(name, "_mah") && x > 0 && x < 10:
		return "this looks like amp hours; write " + Plain(x*1000)
	case strings.HasSuffix(name, "_v") && x >= 1000:
		return "this looks like millivolts; write " + Plain(x/1000)
	case (name == "current_a" || strings.HasSuffix(name, "_current_a")) && x > 1000:
		return "this looks like milliamperes; write " + Plain(x/1000)
	case name == "cell_voltages_v" && x > 6:
		return "this looks like a pack voltage; give one voltage for each cell, or use pack_voltage_v"
	case name == "cell_resistances_mohm" && x > 0 && x < 0.01:
		return "this looks like ohms; write " + Plain(x*1000)
	case strings.HasSuffix(name, "_degc") && x > 200 && x < 400:
		return "this looks like kelvin; write " + Plain(x-273.15)
	case name == "efficiency_percent" && x > 0 && x < 1:
		return "this looks like a fraction; write " + Plain(x*100)
	case x < 0 && !strings.HasSuffix(name, "_degc"):
		return "it cannot be negative"
	}
	return ""
}

func number(v any) (float64, bool) {
	r := reflect.ValueOf(v)
	for r.Kind() == reflect.Pointer && !r.IsNil() {
		r = r.Elem()
	}
	switch r.Kind() {
	case reflect.Int:
		return float64(r.Int()), true
	case reflect.Float64:
		return r.Float(), true
	}
	return 0, false
}

// fieldName is the last named part of a validator namespace, with its index:
// "cell_voltages_v[2]".
func fieldName(namespace string) string {
	return namespace[strings.LastIndexByte(namespace, '.')+1:]
}

func inUnit(name string) string {
	name, _, _ = strings.Cut(name, "[")
	if u := UnitOf(name); u != "" {
		return " (" + u + ")"
	}
	return ""
}

// UnitOf names the unit that the suffix of a field's name stands for, or "".
func UnitOf(field string) string { return unitBySuffix(field).words }

// SuffixOf is the suffix of a field's name that stands for its unit, without
// the underscore before it, or "".
func SuffixOf(field string) string { return strings.TrimPrefix(unitBySuffix(field).suffix, "_") }

func unitBySuffix(field string) unit {
	if strings.HasPrefix(field, "cells_") {
		return unit{} // a count: cells_series_min is no number of minutes
	}
	for _, u := range units() {
		if strings.HasSuffix(field, u.suffix) {
			return u
		}
	}
	return unit{}
}

type unit struct{ suffix, words string }

// units lists the suffixes of field names; a longer one stands before any
// that it ends in.
func units() [24]unit {
	return [...]unit{
		{"_c_rate", "multiples of the rated capacity per hour"},
		{"_mohm_ah", "milliohm ampere hours"},
		{"_per_kwh", "money per kilowatt hour"},
		{"_k_per_min", "kelvin per minute"},
		{"_mv", "millivolts"},
		{"_v", "volts"},
		{"_ma", "milliamperes"},
		{"_a", "amperes"},
		{"_mah", "milliampere hours"},
		{"_wh", "watt hours"},
		{"_w", "watts"},
		{"_mohm", "milliohms"},
		{"_ohm", "ohms"},
		{"_min", "minutes"},
		{"_s", "seconds"},
		{"_h", "hours"},
		{"_days", "days"},
		{"_degc", "degrees Celsius"},
		{"_k", "kelvin"},
		{"_percent", "percent"},
		{"_g", "grams"},
		{"_mm", "millimeters"},
		{"_m", "meters"},
		{"_awg", "American wire gauge"},
	}
}
