package rule

import "github.com/wattkeel/wattkeel/service/spec"

// Doc describes one rule of the catalog.
type Doc struct {
	// ID is the rule's name in findings.
	ID string `json:"id" validate:"max=64" known:"rules"`
	// Severity is the worst severity the rule can have.
	Severity spec.Severity `json:"severity"`
	// Levels lists each severity with the limit from which it holds, mildest first.
	Levels []Level `json:"levels" validate:"max=8"`
	// Family is what the rule looks at.
	Family Family `json:"family"`
	// AppliesTo lists JSON Pointers to the inputs it needs; where several stand for one input, any of them is enough.
	AppliesTo []string `json:"applies_to" validate:"max=64,dive,max=256" format:"json-pointer"`
	// Title says what is wrong when it fires.
	Title string `json:"title" validate:"max=200"`
	// Rationale says why it matters.
	Rationale string `json:"rationale" validate:"max=2000"`
	// Remedy says what to do.
	Remedy string `json:"remedy" validate:"max=2000"`
	// Source is where the limit comes from.
	Source spec.Source `json:"source"`
	// InForceFrom is the day from which a rule of law holds, judged at the request's as_of; absent where it holds on any day. A request without as_of is judged by every rule.
	InForceFrom spec.Date `json:"in_force_from,omitempty" validate:"omitempty,datetime=2006-01-02"`
	// Since is the version of the service that introduced it.
	Since string `json:"since" validate:"max=32"`
}

// Describe is a rule as a document.
func Describe(r *Rule) Doc {
	d := Doc{
		ID: r.ID, Severity: r.Severity(), Levels: r.Levels, Family: r.Family, AppliesTo: []string{},
		Title: r.Title, Rationale: r.Rationale, Remedy: r.Remedy, Source: r.Source, InForceFrom: r.InForceFrom, Since: r.Since,
	}
	for _, n := range r.Needs {
		d.AppliesTo = append(d.AppliesTo, n.Fields...)
	}
	return d
}

// List is the whole catalog.
type List struct {
	// Version is the version of the catalog.
	Version string `json:"version" validate:"max=32"`
	// Rules lists every rule, in the order in which findings of the same severity are reported.
	Rules []Doc `json:"rules" validate:"max=1000"`
}

// Describes is a catalog as a document.
func Describes(rules []Rule) List {
	l := List{Version: Version, Rules: make([]Doc, 0, len(rules))}
	for i := range rules {
		l.Rules = append(l.Rules, Describe(&rules[i]))
	}
	return l
}
