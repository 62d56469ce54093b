package occurrence

import "encoding/xml"

// textNamespace is that of meta.xml.
const textNamespace = "http://rs.tdwg.org/dwc/text/"

// The elements of meta.xml (Darwin Core text guide, sections 2.1 to 2.5).
type (
	metaXML struct {
		XMLName xml.Name `xml:"archive"`
		// As an attribute, for every element is of this namespace; in XMLName it
		// would be of the root alone.
		Namespace  string    `xml:"xmlns,attr"`
		Metadata   string    `xml:"metadata,attr"`
		Core       metaTable `xml:"core"`
		Extensions []metaTable
	}
	metaTable struct {
		XMLName    xml.Name
		Encoding   string      `xml:"encoding,attr"`
		Fields     string      `xml:"fieldsTerminatedBy,attr"`
		Lines      string      `xml:"linesTerminatedBy,attr"`
		Enclosed   string      `xml:"fieldsEnclosedBy,attr"`
		HeadLines  int         `xml:"ignoreHeaderLines,attr"`
		RowType    string      `xml:"rowType,attr"`
		Location   string      `xml:"files>location"`
		ID         *metaColumn `xml:"id"`
		CoreID     *metaColumn `xml:"coreid"`
		TableField []metaColumn
	}
	metaColumn struct {
		XMLName xml.Name
		Index   int    `xml:"index,attr"`
		Term    string `xml:"term,attr,omitempty"`
	}
)

func (a *Archive) meta() ([]byte, error) {
	m := metaXML{Namespace: textNamespace, Metadata: "eml.xml"}
	for i, t := range a.tables {
		x := metaTable{
			Encoding: "UTF-8", Fields: `\t`, Lines: `\n`, Enclosed: `"`, HeadLines: 1,
			RowType: t.rowType, Location: t.file,
		}
		for j, c := range t.terms {
			x.TableField = append(x.TableField, metaColumn{xml.Name{Local: "field"}, j + 1, c.uri})
		}
		if i == 0 {
			x.XMLName.Local, x.ID = "core", &metaColumn{XMLName: xml.Name{Local: "id"}}
			m.Core = x
			continue
		}
		x.XMLName.Local, x.CoreID = "extension", &metaColumn{XMLName: xml.Name{Local: "coreid"}}
		m.Extensions = append(m.Extensions, x)
	}
	return marshal(m)
}

// The elements of eml.xml that a data set must have (EML 2.1.1; from memory).
type (
	emlXML struct {
		XMLName   xml.Name `xml:"eml:eml"`
		Namespace string   `xml:"xmlns:eml,attr"`
		PackageID string   `xml:"packageId,attr"`
		System    string   `xml:"system,attr"`
		Dataset   emlSet   `xml:"dataset"`
	}
	emlSet struct {
		Title    string   `xml:"title"`
		Creator  emlParty `xml:"creator"`
		Provider emlParty `xml:"metadataProvider"`
		Language string   `xml:"language"`
		Abstract emlText  `xml:"abstract"`
		Rights   emlText  `xml:"intellectualRights"`
		Contact  emlParty `xml:"contact"`
	}
	emlParty struct {
		Holder string `xml:"organizationName"`
	}
	emlText struct {
		Para []string `xml:"para"`
	}
)

func (a *Archive) eml() ([]byte, error) {
	holder := a.params.Holder
	if holder == "" {
		holder = "the club that keeps the specimens"
	}
	rights := "No licence has been chosen yet: ask the holder of the rights before use."
	if l := Licenses[a.params.License]; l != "" {
		rights = "This work is licensed under " + l
	}
	return marshal(emlXML{
		Namespace: "eml://ecoinformatics.org/eml-2.1.1", PackageID: "forayseq/" + clean(a.params.Title), System: "forayseq",
		Dataset: emlSet{
			Title: clean(a.params.Title), Creator: emlParty{holder}, Provider: emlParty{holder}, Language: "en",
			Abstract: emlText{[]string{
				"Specimens of fungi collected and named by a mushroom club, with what their ITS barcodes say about the names.",
				"A name from an ITS barcode is no statement about whether a mushroom is safe to eat.",
			}},
			Rights: emlText{[]string{rights}}, Contact: emlParty{holder},
		},
	})
}
