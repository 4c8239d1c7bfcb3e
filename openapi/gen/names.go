package main

import "reflect"

// componentName is what a type is called in the document: its Go name, where
// that says enough outside its package.
func componentName(t reflect.Type) string {
	if name, renamed := renamed()[keyOf(t)]; renamed {
		return name
	}
	return t.Name()
}

func renamed() map[string]string {
	return map[string]string{
		"api.KindPage":                 "ProblemKind",
		"service/charge.Request":       "ChargePlanRequest",
		"service/charge.Plan":          "ChargePlan",
		"service/charge.Settings":      "ChargeSettings",
		"service/charge.Limit":         "CurrentLimit",
		"service/charge.LimitName":     "CurrentLimitName",
		"service/spec.Start":           "ChargeStart",
		"service/spec.StartFrom":       "ChargeStartOrigin",
		"service/charge.Phase":         "ChargePhase",
		"service/charge.PhaseKind":     "ChargePhaseKind",
		"service/charge.Temperature":   "PackTemperature",
		"service/charge.Point":         "CurvePoint",
		"service/check.Request":        "PackCheckRequest",
		"service/check.Answer":         "PackCheck",
		"service/drain.Request":        "StandingDrainRequest",
		"service/drain.Estimate":       "StandingDrainEstimate",
		"service/drain.Drain":          "StandingDrain",
		"service/drain.Cell":           "CellDrain",
		"service/drain.Days":           "DaysRange",
		"service/drain.Driver":         "DaysDriver",
		"service/drain.Left":           "DrainLeaves",
		"service/chemistry.Doc":        "Chemistry",
		"service/chemistry.List":       "ChemistryList",
		"service/chemistry.Zone":       "TemperatureZone",
		"service/chemistry.Sample":     "OpenCircuitPoint",
		"service/chemistry.Resistance": "TypicalResistance",
		"service/chemistry.Sourced":    "SourcedValue",
		"service/label.Request":        "LabelReadingRequest",
		"service/label.Answer":         "LabelReading",
		"service/label.Pack":           "LabelPack",
		"service/label.Lead":           "LabelLead",
		"service/label.Piece":          "LabelPiece",
		"service/label.Reading":        "LabelValue",
		"service/label.How":            "LabelValueOrigin",
		"service/label.Contradiction":  "LabelContradiction",
		"service/label.Kind":           "LabelContradictionKind",
		"service/label.Missing":        "LabelMissing",
		"service/label.Unread":         "LabelUnread",
		"service/transport.Request":    "TransportCheckRequest",
		"service/transport.Answer":     "TransportCheck",
		"service/transport.PackResult": "TransportPack",
		"service/transport.EnergyFrom": "RatedEnergyOrigin",
		"service/transport.Category":   "TransportCategory",
		"service/rule.Doc":             "Rule",
		"service/rule.List":            "RuleList",
		"service/rule.Level":           "RuleLevel",
		"service/rule.Family":          "RuleFamily",
		"service/spec.Chemistry":       "ChemistryName",
		"service/spec.Duration":        "DurationRange",
		"service/spec.Driver":          "DurationDriver",
		"service/spec.Goal":            "ChargeGoal",
		"service/spec.Program":         "ChargeProgram",
		"service/spec.Standing":        "SourceStanding",
	}
}
