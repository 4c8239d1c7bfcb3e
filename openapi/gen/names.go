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
		"api.KindPage":                    "ProblemKind",
		"service/charge.Request":          "ChargePlanRequest",
		"service/charge.Plan":             "ChargePlan",
		"service/charge.Settings":         "ChargeSettings",
		"service/charge.Limit":            "CurrentLimit",
		"service/charge.LimitName":        "CurrentLimitName",
		"service/spec.Start":              "ChargeStart",
		"service/spec.StartFrom":          "ChargeStartOrigin",
		"service/charge.Phase":            "ChargePhase",
		"service/charge.PhaseKind":        "ChargePhaseKind",
		"service/charge.Temperature":      "PackTemperature",
		"service/charge.Point":            "CurvePoint",
		"service/check.Request":           "PackCheckRequest",
		"service/check.Answer":            "PackCheck",
		"service/drain.Request":           "StandingDrainRequest",
		"service/drain.Estimate":          "StandingDrainEstimate",
		"service/drain.Drain":             "StandingDrain",
		"service/drain.Cell":              "CellDrain",
		"service/drain.Days":              "DaysRange",
		"service/drain.Driver":            "DaysDriver",
		"service/drain.Left":              "DrainLeaves",
		"service/chemistry.Doc":           "Chemistry",
		"service/chemistry.List":          "ChemistryList",
		"service/chemistry.Zone":          "TemperatureZone",
		"service/chemistry.Sample":        "OpenCircuitPoint",
		"service/chemistry.Resistance":    "TypicalResistance",
		"service/chemistry.Sourced":       "SourcedValue",
		"service/runtime.Request":         "RuntimeEstimateRequest",
		"service/runtime.Estimate":        "RuntimeEstimate",
		"service/runtime.Cutoff":          "RunCutoff",
		"service/runtime.Temperature":     "RunTemperature",
		"service/runtime.Point":           "RunPoint",
		"service/runtime.StoppedBy":       "RunEnd",
		"service/rule.Doc":                "Rule",
		"service/rule.List":               "RuleList",
		"service/rule.Level":              "RuleLevel",
		"service/rule.Family":             "RuleFamily",
		"service/spec.Chemistry":          "ChemistryName",
		"service/spec.Duration":           "DurationRange",
		"service/spec.Driver":             "DurationDriver",
		"service/spec.Goal":               "ChargeGoal",
		"service/spec.Program":            "ChargeProgram",
		"service/spec.Standing":           "SourceStanding",
		"service/storage.Request":         "StoragePlanRequest",
		"service/storage.Plan":            "StoragePlan",
		"service/storage.Settings":        "StorageSettings",
		"service/storage.Program":         "StorageProgram",
		"service/storage.Action":          "StorageAction",
		"service/storage.Limit":           "StorageLimit",
		"service/storage.LimitName":       "StorageLimitName",
		"service/storage.Phase":           "StoragePhase",
		"service/storage.PhaseKind":       "StoragePhaseKind",
		"service/storage.Balancing":       "StorageBalancing",
		"service/storage.Point":           "StorageCurvePoint",
		"service/storage.Alternative":     "StorageAlternative",
		"service/storage.AlternativeKind": "StorageAlternativeKind",
		"service/storage.Loss":            "CapacityLoss",
		"service/storage.Ageing":          "CalendarAgeing",
		"service/storage.Wait":            "SelfDischargeWait",
		"service/storage.Resistor":        "DischargeResistor",
	}
}
