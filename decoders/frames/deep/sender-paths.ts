import type { CodeGraph, CodeStep } from '../code-graph.ts';

/**
 * The codes a sender may key next from one state of a layout, as a tree over the five data elements in sending order.
 * Node 0 is the root; a node's children are found by the element (0 space, 1 mark), -1 for none. Nodes of depth five
 * carry the steps of their one code.
 */
export interface CodeTree {
  readonly spaceChild: Int32Array;
  readonly markChild: Int32Array;
  /** Steps of the graph by node; empty above depth five. */
  readonly steps: readonly (readonly number[])[];
}

/**
 * The plain ways through a layout: characters and the shifts that they need. Fill, phantoms and other liberties are left
 * out: this search is for machines that key the same way each minute, and every liberty multiplies its work.
 */
export function senderTrees(graph: CodeGraph): (CodeTree | null)[] {
  return graph.outgoing.map((indices) => {
    const kept = plainSteps(graph, indices);
    return kept.length === 0 ? null : treeOf(graph, kept);
  });
}

/** A step so much rarer than its state's likeliest is a liberty. */
const LIBERTY = Math.log(0.03);

function plainSteps(graph: CodeGraph, indices: readonly number[]): number[] {
  const steps = indices
    .map((index) => graph.steps[index])
    .filter((step) => step.from !== step.to || step.edge !== null);
  const total = (step: CodeStep) => step.logWeight + Math.log(Math.max(1, graph.sets[step.set].codes.length));
  const most = Math.max(...steps.map(total));
  return indices.filter((index) => {
    const step = graph.steps[index];
    const moves = step.from !== step.to || step.edge !== null;
    return moves && graph.sets[step.set].codes.length > 0 && total(step) >= most + LIBERTY;
  });
}

function treeOf(graph: CodeGraph, indices: readonly number[]): CodeTree {
  const children: [number, number][] = [[-1, -1]];
  const steps: number[][] = [[]];
  for (const index of indices) {
    for (const code of graph.sets[graph.steps[index].set].codes) {
      let node = 0;
      for (let bit = 0; bit < 5; bit++) {
        const element = (code >> bit) & 1;
        let child = children[node][element];
        if (child < 0) {
          child = children.push([-1, -1]) - 1;
          steps.push([]);
          children[node][element] = child;
        }
        node = child;
      }
      steps[node].push(index);
    }
  }
  return {
    spaceChild: Int32Array.from(children, ([space]) => space),
    markChild: Int32Array.from(children, ([, mark]) => mark),
    steps,
  };
}
