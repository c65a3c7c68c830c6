import type { Random } from './random.ts';

const firsts =
  'Amber Autumn Blue Brass Bright Calm Cedar Clear Copper Coral Crimson Dancing Distant Drifting Early Easy Evening Faithful Far Fair Gentle Golden Grey Happy Harvest Hidden Idle Indigo Ivory Kindly Lantern Late Lively Lucky Merry Midnight Morning Northern Old Patient Pearl Plain Quick Quiet Restless Russet Salty Second Silver Slow Small Southern Spare Steady Summer Swift Tidal Wandering Willing'.split(
    ' ',
  );
const seconds =
  'Anchor Badger Bell Candle Clover Compass Cricket Curlew Ember Fern Finch Gannet Harbor Hare Heron Island Juniper Kettle Kite Ladder Lark Loon Magpie Marble Meadow Moth Needle Oar Otter Parcel Petrel Pilot Plover Quill Rook Saddle Sail Sandpiper Shoal Sparrow Starling Story Swallow Teal Tern Thistle Thread Thrush Tinker Turnstone Whistle Willow Wren Yarrow'.split(
    ' ',
  );

const given =
  'Ada Alvar Bea Caspian Dara Edith Emil Farah Gil Greta Hollis Ines Ivo Jonah Juno Kaya Lars Leona Marlo Mina Nadia Niko Odette Orin Petra Quentin Rosa Rufus Selma Silas Tamsin Teo Ulla Viggo Wanda Wim Xenia Yann Yvette Zora'.split(
    ' ',
  );
const family =
  'Abelthorn Barlowe Brackwell Corrigane Dellamar Elvery Farrowby Gantley Harrowmere Istlay Jessamy Kestrow Lorrimer Marchbank Norrowe Oakmantle Pellworth Quarrington Ravelstone Sandring Tollivant Umberlee Vantreath Wickstead Yarborne Zellaway'.split(
    ' ',
  );

/** A source of boat names, no two alike. */
export function boatNames(random: Random): () => string {
  const all = random.shuffled(firsts.flatMap((first) => seconds.map((second) => `${first} ${second}`)));
  let next = 0;
  return () => {
    const name = all[next];
    if (name === undefined) throw new Error(`the demo has only ${all.length} boat names: make a longer list`);
    next += 1;
    return name;
  };
}

export function personName(random: Random): string {
  return `${one(random, given)} ${one(random, family)}`;
}

/** Numbers of the range that is kept free for stories (555-0100 to 555-0199), with an area code that does not exist. */
export function phoneNumber(random: Random): string {
  return `+1 000 555 01${String(random.whole(0, 99)).padStart(2, '0')}`;
}

function one(random: Random, words: readonly string[]): string {
  return words[random.whole(0, words.length - 1)] ?? '';
}
