// Sizes as people read them off a ruler: to the nearest 1/16 in, or to the millimetre.

function sixteenths(inches) {
  const count = Math.max(1, Math.round(inches * 16));
  let part = count % 16;
  let of = 16;
  while (part && part % 2 === 0) [part, of] = [part / 2, of / 2];
  const whole = Math.floor(count / 16);
  return part ? `${whole ? `${whole} ` : ""}${part}/${of}` : `${whole}`;
}

export const inUnit = (inches, unit) => (unit === "in" ? sixteenths(inches) : `${Math.max(1, Math.round(inches * 25.4))}`);

const spoken = (unit) => (unit === "in" ? "in" : "mm");

export const sizeText = ([wide, tall], unit) => `${inUnit(wide, unit)} × ${inUnit(tall, unit)} ${spoken(unit)}`;

/** The size an element has on its page, told by its longer side, so that its proportions stay its own. */
export function ownSize([wide, tall], unit) {
  const across = wide >= tall;
  return `${inUnit(across ? wide : tall, unit)} ${spoken(unit)} ${across ? "wide" : "tall"}`;
}
