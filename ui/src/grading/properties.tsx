import type { PropertyId } from "../../../station/model/grade.js";
import { propertyOf } from "../../../station/model/grade.js";
import type { GradingSheet } from "../../../station/model/specimen.js";
import { BendingCard, Bent } from "./bending-card.js";
import { type CardProps, GradeCard } from "./grade-card.js";
import { MeasureField } from "./measure-field.js";
import { propertiesOf } from "./second.js";

interface Props {
  readonly sheet: GradingSheet;
  readonly waiting: ReadonlySet<PropertyId>;
  readonly today: number;
  readonly put: CardProps["put"];
}

const isBending = (id: PropertyId) => id.startsWith("bend_");

/** The properties of a specimen, one after another; those of the bending test stand together where its first one does. */
export function Properties({ sheet, waiting, today, put }: Props) {
  const ids = propertiesOf(sheet);
  const bending = ids.filter(isBending);
  const propsOf = (id: PropertyId): CardProps => ({
    id,
    given: sheet.grades[id],
    waits: waiting.has(id),
    today,
    put,
  });
  return (
    <>
      {ids.map((id) => {
        if (propertyOf(id).as === "grade") return <GradeCard key={id} {...propsOf(id)} />;
        if (!isBending(id))
          return (
            <section class="card" key={id}>
              <MeasureField {...propsOf(id)} heading="h2" />
            </section>
          );
        if (id !== bending[0]) return null;
        return (
          <BendingCard key="bending" result={sheet.bending && <Bent bending={sheet.bending} />}>
            {bending.map((each) => (
              <MeasureField key={each} {...propsOf(each)} heading="h3" />
            ))}
          </BendingCard>
        );
      })}
    </>
  );
}
