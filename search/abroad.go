package search

// How other languages say at most, within, of and near. From memory: unverified;
// native speakers should check them.
const (
	atMostAbroad = `unter|bis(?: zu)?|höchstens|maximal|weniger als|moins de|au plus|maximum de|jusqu'à|minder dan|onder|hoogstens|` +
		`menos de|hasta|como máximo|meno di|fino a|al massimo`
	withinAbroad = `im umkreis von|innerhalb von|binnen(?: een straal van)?|dans un rayon de|à moins de|a menos de|en un radio de|` +
		`entro|nel raggio di|a meno di`
	ofAbroad   = `um|von|rund um|van|rond|rondom|de|autour de|da|di|intorno a`
	nearAbroad = `in der nähe von|nahe bei|nahe|bei|près de|proche de|in de buurt van|nabij|bij|cerca de|vicino a|nei pressi di`
)
