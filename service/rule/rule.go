// Package rule holds the rules of safe charging, each one self-describing: the
// check, its limits as data, its reason, its remedy and its source are one
// value. The catalog that is served, the documentation and the answers all
// read that value.
package rule

import (
	"slices"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// Version is the version of the catalog. It changes with any rule.
const Version = "2026.11.2"

// Family is what a rule looks at.
type Family string

const (
	PackAlone   Family = "pack"         // the pack by itself
	OnCharger   Family = "pairing"      // the pack on this charger
	AtThisPlace Family = "surroundings" // where and how the charge happens
	InUse       Family = "use"          // the pack under its load
	AtRest      Family = "rest"         // the pack put away, with what stays connected
	Moving      Family = "moving"       // the pack on its way, by air or road
)

// Enum lists the families.
func (Family) Enum() []string {
	return []string{string(PackAlone), string(OnCharger), string(AtThisPlace), string(InUse), string(AtRest), string(Moving)}
}

// Level is a severity with the limit from which it holds.
type Level struct {
	// Severity is note, caution or stop.
	Severity spec.Severity `json:"severity"`
	// Limit is the limit, in unit. Absent where it depends on the chemistry or there is none.
	Limit *float64 `json:"limit,omitempty" validate:"gte=-1000000,lte=1000000" unit:"as the member unit says"`
	// Unit is the unit of the limit, spelled as the suffixes of field names are.
	Unit string `json:"unit,omitempty" validate:"max=32"`
	// Remedy says what to do at this level, where that differs from the rule's own remedy.
	Remedy string `json:"remedy,omitempty" validate:"max=2000"`
}

// Rule is one rule.
type Rule struct {
	ID        string      // kebab-case; never reused for another meaning
	Family    Family      // what it looks at
	Levels    []Level     // mildest first
	Title     string      // what is wrong when it fires
	Rationale string      // why it matters
	Remedy    string      // what to do
	Source    spec.Source // where the limit comes from
	Since     string      // the service version that introduced it

	// InForceFrom is the day from which a rule of law holds; empty where it
	// holds on any day. Without a day to judge by, every rule does.
	InForceFrom spec.Date

	// Value and Against say, in the notation of a trace, how the value and the
	// limit of a finding follow from the judged pack (pack.…), its chemistry
	// (chem.…), the charger and what the question worked out; a name that begins
	// with $ is written out by Formula. Against is left out where the limit is the
	// level's own, and lists the names it may be, parted by |, where the check
	// chooses.
	Value, Against string

	// Needs lists the inputs without which the rule cannot be judged.
	Needs []Input
	// Idle marks a rule about leaving a pack unused: it is asked only where a
	// question says how long.
	Idle bool
	// EachPack marks a rule outside the pack's own family that speaks of each pack
	// on a parallel board by itself.
	EachPack bool
	// ChargeOnly marks a rule that speaks of charging alone: it is not asked where a
	// pack is only discharged.
	ChargeOnly bool
	// Applies says whether the rule has anything to say about this pack at
	// all; nil means it always has.
	Applies func(f *Facts) bool
	// Check reports what it finds. It is called only when Applies and Needs
	// are met.
	Check func(f *Facts, out *Out)

	allFields []string // every field of Needs
}

// Severity is the worst severity the rule can have.
func (r *Rule) Severity() spec.Severity { return r.Levels[len(r.Levels)-1].Severity }

// Limit is the limit of level i, 0 where it has none.
func (r *Rule) Limit(i int) float64 {
	if l := r.Levels[i].Limit; l != nil {
		return *l
	}
	return 0
}

// InForce reports whether the rule holds on a day, which may be empty.
func (r *Rule) InForce(day spec.Date) bool { return day == "" || day >= r.InForceFrom }

// Input is something a rule needs.
type Input struct {
	// Fields are JSON Pointers at which it can be given; any one is enough.
	Fields []string
	// Has reports whether it is there.
	Has func(f *Facts) bool
}

// All is the catalog: an explicit list, in the order in which findings of the
// same severity are reported.
func All() []Rule {
	var all []Rule
	for _, family := range [][]Rule{labelRules(), cellRules(), wearRules(), conditionRules(), pairingRules(), chargeOnly(currentRules()), chargeOnly(powerRules()), chargeOnly(programRules()), storageRules(), chargeOnly(boardRules()), surroundingsRules(), useRules(), drainRules(), movingRules()} {
		all = append(all, family...)
	}
	for i := range all {
		for _, n := range all[i].Needs {
			all[i].allFields = append(all[i].allFields, n.Fields...)
		}
	}
	return all
}

// Of picks the rules of some families: those that a question asks.
func Of(rules []Rule, families ...Family) []Rule {
	var picked []Rule
	for i := range rules {
		if slices.Contains(families, rules[i].Family) {
			picked = append(picked, rules[i])
		}
	}
	return picked
}

// WithoutCharging leaves out the rules that speak of charging alone.
func WithoutCharging(rules []Rule) []Rule {
	var picked []Rule
	for i := range rules {
		if !rules[i].ChargeOnly {
			picked = append(picked, rules[i])
		}
	}
	return picked
}

// Versions are the versions that every answer carries.
func Versions() spec.Versions {
	return spec.Versions{Service: spec.ServiceVersion, Rules: Version, Data: cell.DataVersion}
}

// chargeOnly marks every rule of a list so.
func chargeOnly(rules []Rule) []Rule {
	for i := range rules {
		rules[i].ChargeOnly = true
	}
	return rules
}

// Constants lists the limits of rules that are no level's own.
func Constants() []cell.Constant {
	return append(inUseConstants(), []cell.Constant{
		{Name: "largest_mah", Unit: "mah", Says: "a capacity that hobby packs hardly pass", Param: cell.Param{Value: largestMAh, Source: capacityUnit().Source}},
	}...)
}

// remedy is the level with a remedy of its own.
func (l Level) remedy(what string) Level { l.Remedy = what; return l }

func at(severity spec.Severity) Level { return Level{Severity: severity} }

func from(severity spec.Severity, limit float64, unit string) Level {
	return Level{Severity: severity, Limit: &limit, Unit: unit}
}
