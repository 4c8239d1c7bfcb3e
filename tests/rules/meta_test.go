package rules_test

import (
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/wattkeel/wattkeel/service/check"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// leastRules keeps these tests from passing on an empty catalog. It is raised
// with the catalog, never lowered: an id that goes leaves a hole in somebody's
// report.
const leastRules = 87

// catalog is every rule, and surely not none.
func catalog(t testing.TB) []rule.Rule {
	t.Helper()
	all := rule.All()
	require.GreaterOrEqual(t, len(all), leastRules, "the catalog has lost rules")
	return all
}

// designed lists the ids that the design asks for, of the families built so
// far.
func designed() []string {
	return []string{
		// The pack alone.
		"label-voltage-contradicts-cells", "label-energy-contradicts", "capacity-unit-suspect",
		"charge-rate-unusual", "burst-below-continuous", "cell-overcharged", "cell-below-floor",
		"cell-deeply-discharged", "cells-out-of-balance", "resistance-outlier", "resistance-end-of-life",
		"capacity-end-of-life", "stored-full", "stored-empty", "pack-swollen", "pack-punctured", "pack-dented",
		"pack-crashed", "pack-water-exposed", "pack-over-discharged", "pack-overheated", "lead-damaged",
		"history-unknown", "pack-aged",
		// The pack on this charger.
		"chemistry-not-supported", "cell-count-not-supported", "cell-count-set-by-hand", "charger-cannot-balance",
		"charge-current-over-label", "charge-current-over-charger", "charger-minimum-too-high",
		"balance-lead-overcurrent", "connector-overcurrent", "wire-overcurrent", "power-limited",
		"supply-undersized", "end-voltage-over-maximum", "end-voltage-program-mismatch", "no-safety-timer",
		"storage-unavailable", "storage-discharge-slow", "parallel-board-mismatch",
		// Surroundings.
		"too-cold-to-charge", "cold-reduced-rate", "too-hot-to-charge", "pack-warm-from-use", "unattended",
		"no-enclosure", "combustible-surface",
		// The pack in use.
		"load-over-continuous", "load-over-burst", "cutoff-too-low", "use-temperature", "lead-undersized",
		// The pack in use.
		"alarm-left-connected",
		// Moving packs.
		"air-approval-needed", "air-forbidden-passenger", "air-damaged-forbidden", "cargo-charge-over-30",
	}
}

func TestCatalogHoldsTheDesign(t *testing.T) {
	t.Parallel()
	have := map[string]bool{}
	for _, r := range catalog(t) {
		assert.False(t, have[r.ID], "%s stands twice", r.ID)
		have[r.ID] = true
	}
	require.Len(t, designed(), 59)
	for _, id := range designed() {
		assert.True(t, have[id], "%s is missing", id)
	}
}

var (
	kebab = regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	// A version of the service by semantic versioning, without pre-release.
	semver = regexp.MustCompile(`^(0|[1-9]\d*)\.(0|[1-9]\d*)\.(0|[1-9]\d*)$`)
)

func TestCatalogIDs(t *testing.T) {
	t.Parallel()
	forbidden := append(spec.Note.Enum(), "warn", "warning", "error", "fatal", "info", "fail", "high", "low", "level")
	for _, r := range catalog(t) {
		// Letters and hyphens alone: an id carries no number either.
		if r.ID != "cargo-charge-over-30" { // the design's own name
			assert.Regexp(t, kebab, r.ID)
		}
		for word := range strings.SplitSeq(r.ID, "-") {
			if r.ID == "charger-minimum-too-high" || r.ID == "cutoff-too-low" {
				continue // a height, not a severity
			}
			assert.NotContains(t, forbidden, word, "%s carries a severity", r.ID)
		}
	}
}

func TestCatalogLevels(t *testing.T) {
	t.Parallel()
	for _, r := range catalog(t) {
		if !assert.NotEmpty(t, r.Levels, r.ID) {
			continue
		}
		assert.Contains(t, rule.PackAlone.Enum(), string(r.Family), r.ID)
		assert.NotNil(t, r.Check, r.ID)
		rank := 0
		for _, l := range r.Levels {
			assert.Contains(t, spec.Note.Enum(), string(l.Severity), r.ID)
			assert.Greater(t, l.Severity.Rank(), rank, "%s: its levels stand mildest first, each once", r.ID)
			rank = l.Severity.Rank()
			if l.Limit != nil {
				assert.NotEmpty(t, l.Unit, "%s: a limit has a unit", r.ID)
			}
			if l.Unit != "" && l.Unit != "ratio" { // a ratio is a plain number
				assert.NotEmpty(t, spec.UnitOf("_"+l.Unit), "%s: no field name ends in %s", r.ID, l.Unit)
			}
		}
		assert.Equal(t, r.Levels[len(r.Levels)-1].Severity, r.Severity(), r.ID)
	}
}

func TestCatalogWords(t *testing.T) {
	t.Parallel()
	for _, r := range catalog(t) {
		assert.Regexp(t, `^[A-Z].*[^.,;:!? ]$`, r.Title, "%s: a title is a phrase, without a period", r.ID)
		assert.Regexp(t, `^[A-Z].*[^ ]\.$`, r.Rationale, "%s: a rationale is sentences", r.ID)
		assert.Regexp(t, `^[a-z].*[^.,;:!? ]$`, r.Remedy, "%s: a remedy is a phrase, without a period", r.ID)
		assert.NotContains(t, r.Title+r.Remedy, ". ", "%s: one phrase, not sentences", r.ID)
		for _, text := range []string{r.Title, r.Rationale, r.Remedy} {
			for _, slip := range []string{"  ", " ,", " .", "..", ",,", ";.", "\n", "\t"} {
				assert.NotContains(t, text, slip, r.ID)
			}
		}
	}
}

func TestCatalogSources(t *testing.T) {
	t.Parallel()
	for _, r := range catalog(t) {
		s := r.Source
		assert.Contains(t, spec.Standard.Enum(), string(s.Kind), r.ID)
		assert.Regexp(t, `^.*[^. ]$`, s.Title, "%s: its source has a title", r.ID)
		assert.NotRegexp(t, `[. ]$`, s.Clause, r.ID)
		if s.Kind == spec.CommonPractice || s.Kind == spec.Derived {
			assert.Empty(t, s.Standing, "%s: there is no document to have read", r.ID)
		} else {
			assert.Contains(t, spec.Read.Enum(), string(s.Standing), "%s: was the source read or recalled?", r.ID)
		}
		if s.Year != 0 {
			assert.True(t, s.Year >= 1800 && s.Year <= 2100, "%s: year %d", r.ID, s.Year)
		}
		assert.Regexp(t, semver, r.Since, r.ID)
	}
	assert.Regexp(t, semver, spec.ServiceVersion)
	assert.Regexp(t, `^\d{4}\.\d+\.\d+$`, rule.Version)
}

// TestCatalogInputsExist: what a rule says it needs is a field that a request of
// a question that asks it really has, so that who reads not_evaluated can give it.
func TestCatalogInputsExist(t *testing.T) {
	t.Parallel()
	for _, r := range catalog(t) {
		d := rule.Describe(&r)
		assert.NotNil(t, d.AppliesTo, r.ID)
		assert.Len(t, d.AppliesTo, fieldsOf(r), r.ID)
		for _, p := range d.AppliesTo {
			assert.NotEmpty(t, p, "%s needs the whole document", r.ID)
			assert.True(t, hasField(&r, p), "%s needs %s, which no question that asks it has", r.ID, p)
		}
		for _, n := range r.Needs {
			assert.NotEmpty(t, n.Fields, r.ID)
			assert.NotNil(t, n.Has, r.ID)
		}
	}
	request := reflect.ValueOf(check.Request{})
	assert.True(t, pointsInto(request, "/charger/supply/power_w"), "the walk must find what is there")
	assert.False(t, pointsInto(request, "/charger/supply/volts_v"), "the walk must be able to fail")
	assert.False(t, pointsInto(request, "/pack/cell_voltages_v/0"), "an empty list has no first element")
}

// hasField reports whether a question that asks the rule has the field.
func hasField(r *rule.Rule, pointer string) bool {
	for _, k := range kinds() {
		where := pointer
		if rest, into := strings.CutPrefix(pointer, "/pack/"); into && k.each != "" {
			where = k.each + "/" + rest
		}
		if k.judges(r) && pointsInto(reflect.ValueOf(k.request()).Elem(), where) {
			return true
		}
	}
	return false
}

func fieldsOf(r rule.Rule) int {
	n := 0
	for _, in := range r.Needs {
		n += len(in.Fields)
	}
	return n
}

// TestCatalogIsServedWhole: the list that is served is the catalog, in order.
func TestCatalogIsServedWhole(t *testing.T) {
	t.Parallel()
	all := catalog(t)
	list := rule.Describes(all)
	require.Len(t, list.Rules, len(all))
	for i, d := range list.Rules {
		assert.Equal(t, all[i].ID, d.ID)
		assert.Equal(t, all[i].Severity(), d.Severity)
	}
}

// unfired lists the levels that no row can reach yet, with the reason. A test
// fails when a row reaches one, so that none stays here without need.
func unfired() map[string]string {
	return map[string]string{}
}

// TestCatalogHasItsRows: every rule has a firing row at every level, a quiet
// one, and one without its inputs.
func TestCatalogHasItsRows(t *testing.T) {
	t.Parallel()
	all := catalog(t)
	rows := map[string]int{}
	for _, r := range loadBook(t).Rows {
		rows[r.Rule+" "+r.Expect]++
		if r.Expect == fires {
			rows[r.Rule+" "+string(r.Severity)]++
		}
	}
	var missing []string
	want := func(what string) {
		_, waits := unfired()[what]
		if rows[what] == 0 && !waits {
			missing = append(missing, what)
		}
		assert.False(t, waits && rows[what] > 0, "%s has its row: take it from the list", what)
	}
	for _, r := range all {
		want(r.ID + " " + fires)
		want(r.ID + " " + quiet)
		if len(r.Needs) > 0 {
			want(r.ID + " " + absent)
		}
		for _, l := range r.Levels {
			want(r.ID + " " + string(l.Severity))
		}
	}
	assert.Empty(t, missing, "rows.json wants rows")
}

// TestRowsAreWellMade: each row says what it expects, completely and once.
func TestRowsAreWellMade(t *testing.T) {
	t.Parallel()
	all, b := catalog(t), loadBook(t)
	seen := map[string]bool{}
	used := map[string]bool{}
	for _, r := range b.Rows {
		name := r.Rule + "/" + r.Name
		assert.False(t, seen[name], "%s stands twice", name)
		seen[name], used[r.Base] = true, true
		assert.NotEmpty(t, r.Name, r.Rule)
		assert.Contains(t, []string{fires, quiet, absent, notApplicable}, r.Expect, name)
		assert.Equal(t, r.Expect == fires, r.Severity != "", "%s: a severity where it fires, and only there", name)
		assert.Equal(t, r.Expect == absent, len(r.Missing) > 0, "%s: what is missing where it is absent, and only there", name)
		i := slices.IndexFunc(all, func(x rule.Rule) bool { return x.ID == r.Rule })
		if !assert.GreaterOrEqual(t, i, 0, "%s: no such rule", name) {
			continue
		}
		if r.Expect == fires {
			has := slices.ContainsFunc(all[i].Levels, func(l rule.Level) bool { return l.Severity == r.Severity })
			assert.True(t, has, "%s: the rule has no level %s", name, r.Severity)
		}
	}
	for base := range b.Bases {
		assert.True(t, used[base], "no row starts from base %s", base)
	}
}
