package sheet

import (
	"fmt"

	"go.yaml.in/yaml/v3"

	pb "heirpress/proto/heirpress/v1"
)

// billField is what was counted of a fount, as {A: 3, B: 2}.
func billField[M any](at func(M) *[]*pb.SortCount) field[M] {
	return field[M]{
		key: "bill",
		read: func(m M, v value) (err error) {
			*at(m), err = readBill(v)
			return err
		},
		write: func(m M) *yaml.Node { return billNode(*at(m)) },
	}
}

func readBill(v value) ([]*pb.SortCount, error) {
	if v.node.Kind != yaml.MappingNode {
		return nil, fmt.Errorf("%q is not a bill: write how many there are of each sort, as {A: 3, B: 2}", v.text)
	}
	var bill []*pb.SortCount
	var problems Problems
	seen := map[string]bool{}
	for i := 0; i < len(v.node.Content); i += 2 {
		k, n := v.node.Content[i], v.node.Content[i+1]
		count, err := readCount(nodeText(n), 0, most)
		switch {
		case k.Kind != yaml.ScalarNode || k.Value == "":
			err = fmt.Errorf("a sort is a character or a word, as A, ffi or en quad")
		case seen[k.Value]:
			err = fmt.Errorf("the sort %s is here twice: add them up", k.Value)
		}
		problems = append(problems, placed(err, "bill", nodeValue(n))...)
		seen[k.Value] = true
		bill = append(bill, &pb.SortCount{Sort: k.Value, Count: count})
	}
	return bill, problems.or()
}

func billNode(bill []*pb.SortCount) *yaml.Node {
	if len(bill) == 0 {
		return nil
	}
	n := &yaml.Node{Kind: yaml.MappingNode, Style: yaml.FlowStyle}
	for _, s := range bill {
		n.Content = append(n.Content, textNode(s.GetSort()), bareNode(fmt.Sprint(s.GetCount())))
	}
	return n
}
