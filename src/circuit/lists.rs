//! A list for each node of a graph, all in one piece of memory.

/// Lists one behind the other.
pub(crate) struct Lists {
    /// Where each begins, and where the last one ends.
    first: Vec<u32>,
    all: Vec<u32>,
}

impl Lists {
    /// One for each of so many nodes, of the entries (node, what is in its list) in their order.
    pub fn of(nodes: usize, entries: impl Iterator<Item = (u32, u32)> + Clone) -> Lists {
        let mut first = vec![0u32; nodes + 1];
        for (node, _) in entries.clone() {
            first[node as usize + 1] += 1;
        }
        for k in 0..nodes {
            first[k + 1] += first[k];
        }
        let mut free = first.clone();
        let mut all = vec![0; first[nodes] as usize];
        for (node, entry) in entries {
            let place = &mut free[node as usize];
            all[*place as usize] = entry;
            *place += 1;
        }
        Lists { first, all }
    }

    /// How many lists there are.
    pub fn len(&self) -> usize {
        self.first.len() - 1
    }

    /// The list of a node.
    pub fn of_node(&self, node: u32) -> &[u32] {
        let node = node as usize;
        &self.all[self.first[node] as usize..self.first[node + 1] as usize]
    }
}
