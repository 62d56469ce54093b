package refs

// ParseName reads a taxon name as written on a label or in a header.
func ParseName(text string) Name { return Name{Verbatim: text} }
