package rule

import "github.com/wattkeel/wattkeel/service/spec"

// Sources that several rules share.

func arithmetic(what string) spec.Source { return spec.Source{Kind: spec.Derived, Title: what} }

func nameplate(clause string) spec.Source {
	return spec.Source{Kind: spec.Regulation, Title: "10 CFR 430 subpart B appendix Y", Clause: clause, Standing: spec.Read}
}

func westYorkshire(clause string) spec.Source {
	return spec.Source{Kind: spec.Guidance, Title: "West Yorkshire Fire and Rescue Service, lithium-ion batteries: key safety messages", Clause: clause, Standing: spec.Read}
}

func declaredMethod() spec.Source {
	return spec.Source{Kind: spec.Standard, Title: "IEC 62133-2:2017", Clause: "charge only by the method and chemistry the maker declares", Year: 2017, Standing: spec.FromMemory}
}
