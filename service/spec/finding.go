package spec

// Finding is one thing a rule found.
type Finding struct {
	// Rule is the id of the rule, as listed by GET /v1/rules, or internal-fault where the service contradicts itself.
	Rule string `json:"rule" validate:"max=64" known:"rules"`
	// Severity is note, caution or stop.
	Severity Severity `json:"severity"`
	// Message says what was found, with the values received.
	Message string `json:"message" validate:"max=2000"`
	// At lists JSON Pointers into the request.
	At []string `json:"at" validate:"max=1000,dive,max=256" format:"json-pointer"`
	// Value is the value that was judged, in unit.
	Value *float64 `json:"value,omitempty" validate:"gte=-1000000000000000,lte=1000000000000000" unit:"as the member unit says"`
	// Limit is the limit it was judged against, in unit.
	Limit *float64 `json:"limit,omitempty" validate:"gte=-1000000000000000,lte=1000000000000000" unit:"as the member unit says"`
	// Unit is the unit of value and limit, spelled as the suffixes of field names are.
	Unit string `json:"unit,omitempty" validate:"max=32"`
	// Remedy says what to do about it.
	Remedy string `json:"remedy" validate:"max=2000"`
	// Source is where the limit comes from.
	Source Source `json:"source"`

	// Exact is value and limit before rounding, for a trace.
	Exact []float64 `json:"-"`
}

// NotEvaluated is a rule that could not be judged: it neither passed nor failed.
type NotEvaluated struct {
	// Rule is the id of the rule.
	Rule string `json:"rule" validate:"max=64" known:"rules"`
	// Missing lists JSON Pointers into the request where a value would let the rule be judged.
	Missing []string `json:"missing" validate:"max=1000,dive,max=256" format:"json-pointer"`
}

// Assumed is a value the request left out and the answer had to assume.
type Assumed struct {
	// Field is the JSON Pointer into the request at which to give the value.
	Field string `json:"field" validate:"max=256" format:"json-pointer"`
	// Value is what was assumed: a number in the field's unit, or one of its words.
	Value any `json:"value" validate:"gte=-1000000000000,lte=1000000000000,max=64" unit:"that of the field" union:"number,text"`
	// Why says why this value.
	Why string `json:"why" validate:"max=500"`
	// Source is where the value comes from.
	Source Source `json:"source"`
}

// Versions says which service, rules and data made an answer.
type Versions struct {
	// Service is the version of the service.
	Service string `json:"service" validate:"max=32"`
	// Rules is the version of the rule catalog.
	Rules string `json:"rules" validate:"max=32"`
	// Data is the version of the chemistry data.
	Data string `json:"data" validate:"max=32"`
}

// ServiceVersion is the version of the service, by semantic versioning.
const ServiceVersion = "0.2.0"

// VerdictOf is the verdict of a list of findings.
func VerdictOf(findings []Finding) Verdict {
	v := VerdictClear
	for i := range findings {
		switch findings[i].Severity {
		case Stop:
			return VerdictStop
		case Caution:
			v = VerdictCaution
		}
	}
	return v
}
